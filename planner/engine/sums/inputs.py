"""Readers of the inputs: each gives the value back, or refuses it by its field's name.

Nothing is clamped, rounded or guessed: true and false are no numbers, and neither is text that
looks like one.
"""

import math
from collections.abc import Collection
from typing import Any

from planner.engine.sums.faults import refuse

_SHOWN = 40
_LEAST = 1e-6
"""Nothing on a boat is smaller in the units asked for; it also keeps every division safe."""


def read_number(field: str, value: Any, *, most: float, unit: str) -> float:
    """A finite number above zero (a millionth at least) and at most `most`."""
    number = _finite(field, value, most, unit)
    if number <= 0:
        refuse(field, f"{show(value)} cannot be: it must be more than 0{_of(unit)}.")
    if number < _LEAST:
        refuse(field, f"{show(value)} is too small: at least {_LEAST:f}{_of(unit)} is taken.")
    return number


def read_number_or_zero(field: str, value: Any, *, most: float, unit: str) -> float:
    """A finite number from zero to `most`."""
    number = _finite(field, value, most, unit)
    if number < 0:
        refuse(field, f"{show(value)} cannot be: it must be 0{_of(unit)} or more.")
    return number


def read_whole(field: str, value: Any, *, least: int, most: int, unit: str) -> int:
    """A whole number from `least` to `most`; 3.0 is 3, 3.5 is refused."""
    number = _finite(field, value, most, unit)
    if number != int(number):
        refuse(field, f"{show(value)} is not a whole number.")
    if number < least:
        refuse(field, f"{show(value)} is too small: it must be {least}{_of(unit)} or more.")
    return int(number)


def read_flag(field: str, value: Any) -> bool:
    """True or false, nothing that merely counts as one."""
    if not isinstance(value, bool):
        refuse(field, f"{show(value)} is neither true nor false.")
    return value


def read_choice(field: str, value: Any, choices: Collection[str]) -> str:
    """One of the given words."""
    if not isinstance(value, str) or value not in choices:
        refuse(field, f"{show(value)} is not known: use one of {', '.join(choices)}.")
    return value


def read_rating(field: str, value: Any, ratings: Collection[int], what: str) -> int:
    """One of the given whole numbers (a rating printed in a table)."""
    known = not isinstance(value, bool) and isinstance(value, int | float) and value in ratings
    if not known:
        listed = ", ".join(str(rating) for rating in ratings)
        refuse(field, f"{show(value)} is not known: {what} {listed}.")
    return int(value)


def read_text(field: str, value: Any, *, most: int = 1000) -> str:
    """Text that is not blank."""
    if not isinstance(value, str):
        refuse(field, f"{show(value)} is not text: write it in quotes.")
    if not value.strip():
        refuse(field, "Nothing is written here.")
    if len(value) > most:
        refuse(field, f"The text has {len(value)} characters; at most {most} are read.")
    return value


def read_name(field: str, value: Any) -> str:
    """The name of a tee or unit: text, or a whole number taken as text."""
    if isinstance(value, int) and not isinstance(value, bool):
        return str(value)
    return read_text(field, value, most=200).strip()


def read_rows(field: str, value: Any) -> list[Any]:
    """A list."""
    if not isinstance(value, list | tuple):
        refuse(field, f"{show(value)} is not a list.")
    return list(value)


def read_key(field: str, row: Any, key: str) -> Any:
    """The value of a key that must stand in a row."""
    if not isinstance(row, dict):
        refuse(field, f"{show(row)} is not an object with named values.")
    if key not in row:
        refuse(f"{field}.{key}", "It is missing.")
    return row[key]


def show(value: Any) -> str:
    """The value as typed, cut short for a message."""
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) > 10**_SHOWN:
        return "A number of so many digits"
    words = {None: "null", True: "true", False: "false"}
    plain = isinstance(value, bool) or value is None
    text = words[value] if plain else repr(value)
    return text if len(text) <= _SHOWN else f"{text[:_SHOWN]}…"


def _finite(field: str, value: Any, most: float, unit: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        refuse(field, f"{show(value)} is not a number.")
    if isinstance(value, float) and not math.isfinite(value):
        refuse(field, "It must be a finite number.")
    if value > most:
        refuse(field, f"{show(value)} is too much: at most {most:,}{_of(unit)} is taken.")
    if value < -most:
        refuse(field, f"{show(value)} cannot be: it must not be negative.")
    return float(value)


def _of(unit: str) -> str:
    return f" {unit}" if unit else ""
