"""Serial numbers between two others: the same letters in front, a figure behind. Pure."""

import re

FORM = re.compile(r"(.*?)(\d+)\Z", re.DOTALL)


def parted(serial: str) -> tuple[str, int] | None:
    """`LA-0042` as (`LA-`, 42); None where no figure stands at the end."""
    found = FORM.match(serial.strip().upper())
    return (found[1], int(found[2])) if found else None


def within_serials(serial: str, low: str, high: str) -> bool | None:
    """Whether a serial lies between two; None where it is not known or cannot be compared."""
    one, first, last = parted(serial), parted(low), parted(high)
    if one is None or first is None or last is None or first[0] != last[0]:
        return None
    if one[0] != first[0]:
        return False
    return first[1] <= one[1] <= last[1]


def in_order(low: str, high: str) -> bool:
    """Whether two serials are ends of one range, the right way round."""
    first, last = parted(low), parted(high)
    return bool(first and last and first[0] == last[0] and first[1] <= last[1])
