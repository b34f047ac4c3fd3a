"""A reading against what was expected: in words, and the next thing to look at.

Pure. The next things to check are common practice, no source.
"""

from decimal import Decimal
from typing import Protocol


class Expecting(Protocol):
    """What is asked of a step's row."""

    kind: str
    expect_unit: str
    expect_low: Decimal | None
    expect_high: Decimal | None
    reading: Decimal | None


OHMS = "Ω"


def verdict_of(step: Expecting) -> str:
    """The reading in words beside what was expected; "" where there is nothing to compare."""
    if step.reading is None or (step.expect_low is None and step.expect_high is None):
        return ""
    figure = f"{plain(step.reading)} {step.expect_unit}".strip()
    if step.expect_low is not None and step.reading < step.expect_low:
        return f"{figure} is too low: {range_words(step)} is expected."
    if step.expect_high is not None and step.reading > step.expect_high:
        return f"{figure} is too high: {range_words(step)} is expected."
    return f"{figure} is as expected."


def range_words(step: Expecting) -> str:
    """`12.2 to 14.6 V`, `3 A`, `at most 0.2 Ω`; "" where no bound is laid down."""
    low, high, unit = plain(step.expect_low), plain(step.expect_high), step.expect_unit
    words = ""
    if low and high:
        words = low if low == high else f"{low} to {high}"
    elif low or high:
        words = f"at least {low}" if low else f"at most {high}"
    return f"{words} {unit}".strip() if words else ""


def plain(number: Decimal | None) -> str:
    """A figure without idle zeros; "" for none."""
    if number is None:
        return ""
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def next_check(step: Expecting) -> str:
    """What to look at next when the reading is out of range."""
    low = step.expect_low is not None and step.reading < step.expect_low
    if step.kind == "fuse":
        return _fuse(low=low)
    if step.expect_unit == "V":
        return _volts(low=low)
    if step.expect_unit == OHMS:
        return _ohms(step)
    return "Read it again with another meter or from another page, then note what you find."


def _fuse(*, low: bool) -> str:
    if low:
        return "A smaller fuse may blow at start: put in the value named here."
    return "Too large: the wire is not protected. Take it out and put in the value named here."


def _volts(*, low: bool) -> str:
    if low:
        return (
            "Measure at the battery, then at the fuse, then at the plug: the step where the "
            "volts drop is the fault. Look for a thin wire, a corroded joint, a loose ring."
        )
    return (
        "Measure at the battery: a charger too high, or a bank of more volts than the unit takes."
    )


def _ohms(step: Expecting) -> str:
    if step.expect_high is not None and step.expect_high < 5:
        return "A bad joint on the negative side: clean and tighten each one, then read again."
    reading = step.reading
    if reading < 5:
        return "A short: open the backbone in the middle and see which half shows it."
    if reading < 50:
        return "More than two terminators, some are built into a unit: find the one too many."
    if reading < 200:
        return "One terminator missing or open, or a break on the way to one end."
    return "No terminator, a dead stub measured, or the power still on. Power off, read again."
