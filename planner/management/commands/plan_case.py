"""`plan_case FILE...`: answer refit cases from files, without a database."""

import json
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from planner.engine import CaseFault, answer_case, tell_page
from planner.engine.documents import parse_document

_REFUSED = 2


class Command(BaseCommand):
    help = "Plan refit cases: the best plans, or what stands in the way."
    requires_system_checks = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("files", nargs="+", metavar="FILE", type=Path)
        parser.add_argument("--json", action="store_true", help="one line of JSON a file")
        parser.add_argument("--options", type=_count, default=5, metavar="K")
        parser.add_argument("--time-limit", type=_seconds, metavar="S", help="seconds a file")

    def handle(self, *_args: Any, **options: Any) -> None:
        refused = False
        for path in options["files"]:
            try:
                self._answer(path, options)
            except CaseFault as fault:
                refused = True
                self.stderr.write(f"{path}: {fault.path}: {fault.message}")
        if refused:
            raise CommandError("refused", returncode=_REFUSED)

    def _answer(self, path: Path, options: dict[str, Any]) -> None:
        case = parse_document(_content(path))
        answer = answer_case(
            case, options=options["options"], should_stop=_deadline(options["time_limit"])
        )
        if options["json"]:
            self.stdout.write(json.dumps(answer, ensure_ascii=False))
            return
        name = case.get("name")
        self.stdout.write(f"{name if isinstance(name, str) else path.name}\n")
        self.stdout.write(tell_page(case, answer))


def _content(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise CaseFault("$", f"the file cannot be read: {error.strerror}") from error


def _count(text: str) -> int:
    number = int(text)
    if number < 1:
        raise ValueError(text)
    return number


def _seconds(text: str) -> float:
    number = float(text)
    if not number >= 0:
        raise ValueError(text)
    return number


def _deadline(seconds: float | None) -> Callable[[], bool] | None:
    if seconds is None:
        return None
    end = time.monotonic() + seconds
    return lambda: time.monotonic() >= end
