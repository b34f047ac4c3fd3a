"""The checksum of an NMEA 0183 / IEC 61162-1 sentence."""

import re
from functools import reduce
from operator import xor
from typing import Any

from planner.engine.sums.faults import refuse
from planner.engine.sums.inputs import read_text
from planner.engine.sums.results import SumResult

LONGEST = 82
_STARTS = "$!"
_TAIL = len("*hh\r\n")
_CHECKSUM = re.compile(r"[0-9A-Fa-f]{2}")


def check_sentence(*, text: Any) -> SumResult:
    """Checksum of a sentence, and whether the one that it carries is right.

    `text` may carry `*hh` or not; a line end is dropped. `valid` is null without `*hh`. A
    sentence that is too long is warned of, not refused: real talkers break the limit.
    """
    sentence = read_text("text", text).strip()
    odd = next((sign for sign in sentence if not " " <= sign <= "~"), None)
    if odd is not None:
        refuse("text", f"Character {odd!a} does not belong in a sentence: plain ASCII only.")
    body, star, carried = sentence.partition("*")
    checksum = f"{reduce(xor, map(ord, _content(body)), 0):02X}"
    return SumResult(
        values={
            "checksum": checksum,
            "valid": carried.upper() == checksum if star else None,
            "warnings": _warnings(body, carried if star else None, checksum),
        },
        formula="exclusive or of the characters between $ (or !) and *, as two hex digits",
        source="NMEA 0183 / IEC 61162-1, as printed in public receiver manuals",
        inputs={"text": sentence},
        notes=("A right checksum says that the line came through whole, not that it is true.",),
        margin={"characters": LONGEST - len(body) - _TAIL},
    )


def _content(body: str) -> str:
    return body[1:] if body[:1] in _STARTS else body


def _warnings(body: str, carried: str | None, checksum: str) -> list[str]:
    warnings = []
    if body[:1] not in _STARTS:
        warnings.append("A sentence starts with $ or !: the sum takes all up to the *.")
    if any(start in _content(body) for start in _STARTS):
        warnings.append("A second $ or ! stands inside: two sentences may have run together.")
    length = len(body) + _TAIL
    if length > LONGEST:
        warnings.append(
            f"It has {length} characters with checksum and line end; the limit is {LONGEST}."
        )
    if carried is not None:
        warnings += _checksum_warnings(carried, checksum)
    return warnings


def _checksum_warnings(carried: str, checksum: str) -> list[str]:
    if not _CHECKSUM.fullmatch(carried):
        return [f"After the * stand two hex digits and nothing else, not “{carried}”."]
    if carried.upper() != checksum:
        return [f"It carries {carried.upper()}; the right checksum is {checksum}."]
    if carried != checksum:
        return ["The hex digits are written in capitals."]
    return []
