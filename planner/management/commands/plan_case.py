"""`plan_case FILE...`: answer refit cases from files, without a database."""

import codecs
import json
import math
import os
import re
import sys
import time
from argparse import ArgumentTypeError
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from planner.engine import CaseFault, answer_case, tell_page
from planner.engine.documents import LARGEST_BYTES, parse_document
from planner.memory import LARGEST_MB, bounded_memory

_REFUSED = 2
# What a shell sees of a program that was ended because nobody reads on.
_UNREAD = 141
_MOST_OPTIONS = 1000
# What would move the cursor or colour the screen; lines are kept.
_CONTROL = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]")


class Command(BaseCommand):
    help = (
        "Plan refit cases: the best plans, or what stands in the way. Exit status 0: answered, "
        "2: a file was refused; the JSON path of its first fault is told."
    )
    requires_system_checks = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("files", nargs="+", metavar="FILE", type=Path)
        parser.add_argument("--json", action="store_true", help="one line of JSON a file")
        parser.add_argument(
            "--options", type=_count, default=5, metavar="K", help="how many options (5)"
        )
        parser.add_argument("--time-limit", type=_seconds, metavar="S", help="seconds a file")

    def handle(self, *_args: Any, **options: Any) -> None:
        try:
            self._answer_all(options)
        except BrokenPipeError:
            # Whoever read the answers has seen enough; nothing may be written at exit either.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            raise SystemExit(_UNREAD) from None

    def _answer_all(self, options: dict[str, Any]) -> None:
        refused = False
        for number, path in enumerate(options["files"]):
            try:
                told = _answered(path, options, plain=_is_plain(self.stdout))
            except CaseFault as fault:
                refused = True
                told = _refusal(fault) if options["json"] else ""
                self.stderr.write(_CONTROL.sub("?", f"{path}: {fault.path}: {fault.message}"))
            if told:
                gap = "\n" if number and not options["json"] else ""
                self.stdout.write(gap + told)
                self.stdout.flush()
        if refused:
            raise CommandError("refused", returncode=_REFUSED)


def _is_plain(stream: Any) -> bool:
    """Whether this stream can write the signs of ASCII only, for all that is known."""
    encoding = getattr(stream, "encoding", None) or "utf-8"
    return codecs.lookup(encoding).name != "utf-8"


def _answered(path: Path, options: dict[str, Any], *, plain: bool) -> str:
    """One file's answer in the words or the JSON asked for."""
    try:
        with bounded_memory():
            case = parse_document(_content(path))
            answer = answer_case(
                case, options=options["options"], should_stop=_deadline(options["time_limit"])
            )
    except MemoryError as error:
        message = f"this case is too large: planning it takes more than {LARGEST_MB} MB of memory"
        raise CaseFault("$", message) from error
    if options["json"]:
        return json.dumps(answer, ensure_ascii=plain)
    name = case.get("name")
    title = name if isinstance(name, str) and name else path.name
    page = _CONTROL.sub("?", f"{title}\n{tell_page(case, answer)}")
    encoding = "ascii" if plain else "utf-8"
    return page.encode(encoding, "backslashreplace").decode(encoding)


def _refusal(fault: CaseFault) -> str:
    """The line that stands in the place of an answer, so that lines and files stay in step."""
    return json.dumps({"refused": {"path": fault.path, "message": fault.message}})


def _content(path: Path) -> bytes:
    """As much of a file as tells whether it is too large; it may be a device without an end."""
    try:
        with path.open("rb") as file:
            return file.read(LARGEST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise CaseFault("$", f"the file cannot be read: {reason}") from error


def _count(text: str) -> int:
    try:
        number = int(text)
    except ValueError:
        number = 0
    if not 1 <= number <= _MOST_OPTIONS:
        raise ArgumentTypeError(f"a whole number from 1 to {_MOST_OPTIONS} was expected")
    return number


def _seconds(text: str) -> float:
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not 0 <= number < math.inf:
        raise ArgumentTypeError("a number of seconds, 0 or more, was expected")
    return number


def _deadline(seconds: float | None) -> Callable[[], bool] | None:
    if seconds is None:
        return None
    end = time.monotonic() + seconds
    return lambda: time.monotonic() >= end
