"""Plain words for the facts of a case, shared by steps and sentences."""

from collections.abc import Sequence
from typing import Any

from planner.engine.facts import Case

Row = dict[str, Any]


def money(cents: int) -> str:
    """Cents as dollars: 119070 gives "$1,190.70"."""
    return f"${cents // 100:,}.{cents % 100:02d}"


def amps(milliamperes: int) -> str:
    """Milliamperes as amperes without needless zeros: 7500 gives "7.5 A"."""
    return f"{milliamperes / 1000:g} A"


def lasting(minutes: int) -> str:
    """Minutes as people say them: 128 gives "2 h 8 min"."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return f"{rest} min"
    return f"{hours} h {rest} min" if rest else f"{hours} h"


def counted(number: int, one: str, many: str | None = None) -> str:
    """A number with its noun: counted(2, "update") gives "2 updates"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def listed(items: Sequence[str], last: str = "and") -> str:
    """Items as a spoken list: "a, b and c"."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def unit_name(row: Row) -> str:
    """A unit of a plan: model, id and place."""
    return f"{row['model']} ({row['unit']}, {row['location']})"


def device_name(case: Case, device_id: str) -> str:
    """An existing device: model, id and place."""
    device = next(d for d in case.devices if d.id == device_id)
    return f"{device.model} ({device.id}, {device.location})"
