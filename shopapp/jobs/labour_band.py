"""How long the labour of an option may take: the likely least and most."""

import math
from collections.abc import Iterable
from typing import Protocol

QUARTER = 15
LABOUR = "labour"


class Timed(Protocol):
    """What is asked of a line."""

    kind: str
    minutes: int
    low_minutes: int | None
    high_minutes: int | None
    left_out: bool


def band_of(lines: Iterable[Timed]) -> tuple[int, int]:
    """The likely least and most minutes of all labour, outward to the quarter hour.

    Typical sum less (and plus) the root of the summed squares of each line's distance to its low
    (high): fair where the tasks vary independently of each other (common practice, no source).
    Lines without a range, written by hand, count as written.
    """
    work = [line for line in lines if line.kind == LABOUR and not line.left_out]
    typical = sum(line.minutes for line in work)
    down = [line.minutes - line.low_minutes for line in work if line.low_minutes is not None]
    up = [line.high_minutes - line.minutes for line in work if line.high_minutes is not None]
    low = typical - math.sqrt(sum(step * step for step in down))
    high = typical + math.sqrt(sum(step * step for step in up))
    if not (down or up):
        return typical, typical
    return max(0, math.floor(low / QUARTER) * QUARTER), math.ceil(high / QUARTER) * QUARTER
