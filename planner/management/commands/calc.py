"""`calc NAME --json '{…}'`, `calc --lines`, `calc --list`: the trade's sums, no database."""

import io
import json
import os
import sys
from collections.abc import Iterable, Iterator
from typing import Any, TextIO

from django.core.management.base import BaseCommand, CommandError, CommandParser

from planner.engine.sums import SUMS, Quantity, Sum, SumFault, run_sum

_REFUSED = 2
# What a shell sees of a program that was ended because nobody reads on.
_UNREAD = 141


class Command(BaseCommand):
    help = "Work out one of the trade's sums, with its formula, source and cautions."
    requires_system_checks = []
    requires_migrations_checks = False

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", nargs="?", metavar="NAME", help="the sum; see --list")
        way = parser.add_mutually_exclusive_group()
        way.add_argument("--json", metavar="INPUTS", help="one JSON object of inputs")
        way.add_argument(
            "--lines",
            action="store_true",
            help='lines of {"name": …, "in": {…}} on standard input; a fault is told on its line',
        )
        way.add_argument("--list", action="store_true", help="name all sums")

    def handle(self, *_args: Any, **options: Any) -> None:
        try:
            self._answer(options)
        except BrokenPipeError:
            # Whoever read the answers has seen enough; nothing may be written at exit either.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            raise SystemExit(_UNREAD) from None

    def _answer(self, options: dict[str, Any]) -> None:
        if options["list"]:
            _write_any_sign()
            self.stdout.write("\n".join(tell_all()))
        elif options["lines"]:
            for answer in answer_lines(_standard_input()):
                self.stdout.write(answer)
        else:
            self._answer_one(options["name"], options["json"])

    def _answer_one(self, name: str | None, text: str | None) -> None:
        try:
            self.stdout.write(_as_line(_ask(name, text)))
        except SumFault as fault:
            self.stdout.write(_as_line(_tell_fault(fault)))
            raise CommandError(str(fault), returncode=_REFUSED) from fault


def _write_any_sign() -> None:
    """Ω and ° as escapes where the terminal has no such signs, never as an error."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")


def _ask(name: str | None, text: str | None) -> dict[str, Any]:
    if name is None:
        raise SumFault("name", "Name a sum; --list names them all.")
    if text is None:
        raise SumFault("json", "Give the inputs as one object: --json '{…}'.")
    return run_sum(name, _read_json(text, "json")).as_dict()


def _standard_input() -> TextIO:
    """Standard input on which a stray byte spoils its own line only."""
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")
    return sys.stdin


def answer_lines(lines: Iterable[str]) -> Iterator[str]:
    """One line of JSON for each line that is not blank, faults included."""
    for line in lines:
        if line.strip():
            yield _as_line(_answer_line(line))


def tell_all() -> Iterator[str]:
    """Every sum with its inputs, outputs, units and source, in lines of text."""
    for each in SUMS.values():
        yield from _tell(each)


def _answer_line(line: str) -> dict[str, Any]:
    try:
        name, given = _read_row(line)
        return run_sum(name, given).as_dict()
    except SumFault as fault:
        return _tell_fault(fault)


def _read_row(line: str) -> tuple[Any, Any]:
    row = _read_json(line, "line")
    if not isinstance(row, dict) or "name" not in row:
        raise SumFault("name", 'The line is not of the form {"name": …, "in": {…}}.')
    return row["name"], row.get("in", {})


def _read_json(text: str, field: str) -> Any:
    try:
        return json.loads(text, object_pairs_hook=_each_once)
    except SumFault:
        raise
    except (ValueError, RecursionError) as error:
        raise SumFault(field, f"It is not JSON that can be read: {error}.") from error


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """An object whose names are each given once: of two values neither is chosen in silence."""
    found: dict[str, Any] = {}
    for name, value in pairs:
        if name in found:
            raise SumFault(name, "It is given twice.")
        found[name] = value
    return found


def _tell_fault(fault: SumFault) -> dict[str, Any]:
    return {"error": {"field": fault.field, "message": fault.message}}


def _as_line(answer: dict[str, Any]) -> str:
    """ASCII only, so that no terminal's encoding can break it; never NaN or Infinity."""
    return json.dumps(answer, allow_nan=False)


def _tell(each: Sum) -> Iterator[str]:
    yield each.name
    yield f"  in:     {'; '.join(map(_tell_quantity, each.inputs))}"
    yield f"  out:    {'; '.join(map(_tell_quantity, each.outputs))}"
    yield f"  source: {each.source}"


def _tell_quantity(quantity: Quantity) -> str:
    default = f", else {json.dumps(quantity.default)}" if quantity.optional else ""
    return f"{quantity.name}{'?' if quantity.optional else ''} ({quantity.unit}{default})"
