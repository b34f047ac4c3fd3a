"""A shop's own rules: stricter than the built-in ones, never looser.

`LocalRules` holds what a shop works by; where it says nothing the built-in rule stands. What is
looser is refused by its field, never quietly brought back to the limit.
"""

from dataclasses import dataclass, fields
from typing import Any

from planner.engine.sums import words
from planner.engine.sums.cable_run import SLACK_FT, SLACK_PERCENT
from planner.engine.sums.faults import refuse
from planner.engine.sums.gauges import SOLD
from planner.engine.sums.inputs import read_choice, read_number

BUS_LIMITS = {"plain": 1.67, "battery": 1.5, "isolated": 3.0}
"""Volts that may be lost on a backbone, by the guide: 1.67 (guide 1), 1.5 for a battery supply and
3.0 for an isolated 13.8 V supply (guide 2)."""


@dataclass(frozen=True, slots=True)
class Limit:
    """A built-in rule: its value, whether a stricter one is lower, its unit, words and source."""

    value: float
    lower_is_stricter: bool
    unit: str
    label: str
    source: str
    least: float = 0.0
    most: float = 1000.0

    def is_looser(self, value: float) -> bool:
        """Whether a value asks for less than the built-in rule."""
        return value > self.value if self.lower_is_stricter else value < self.value


_PRACTICE = "common practice, no source"

LIMITS = {
    "drop_percent": Limit(
        3, True, "%", "Drop on electronics, feeders and navigation lights", words.E11, least=0.1
    ),
    "other_drop_percent": Limit(10, True, "%", "Drop on other circuits", words.E11, least=0.1),
    "fuse_percent": Limit(
        150, True, "%", "Largest fuse, share of the ampacity", words.OVERCURRENT, least=50
    ),
    "fuse_load_percent": Limit(
        125, False, "%", "Fuse for a load, share of the continuous amps", _PRACTICE, most=300
    ),
    "bus_drop_volts": Limit(
        1.67, True, "V", "Volts lost along the backbone", words.NMEA_2000, least=0.1
    ),
    "bus_lowest_volts": Limit(
        9, False, "V", "Volts at every node", f"{words.NMEA_2000}, from memory", most=16
    ),
    "slack_ft": Limit(SLACK_FT, False, "ft", "Slack on a network cable", _PRACTICE, most=50),
    "slack_percent": Limit(
        SLACK_PERCENT, False, "%", "Slack on a network cable", _PRACTICE, most=100
    ),
    "compass_m": Limit(
        0.9, False, "m", "From a compass, where the maker says nothing", _PRACTICE, most=10
    ),
}
SMALLEST_BUILT_IN = "18"
"""33 CFR 183.425: 18 AWG inside a sheath; 16 AWG alone."""


@dataclass(frozen=True, slots=True)
class LocalRules:
    """What a shop works by; null: the built-in rule.

    `areas` and `bus_limit` choose among editions that differ; `smallest_awg` is the smallest
    conductor the shop fits. Make one with `read_local_rules`, which refuses what is looser.
    """

    areas: str = "sae"
    bus_limit: str = "plain"
    smallest_awg: str | None = None
    drop_percent: float | None = None
    other_drop_percent: float | None = None
    fuse_percent: float | None = None
    fuse_load_percent: float | None = None
    bus_drop_volts: float | None = None
    bus_lowest_volts: float | None = None
    slack_ft: float | None = None
    slack_percent: float | None = None
    compass_m: float | None = None

    def value(self, name: str) -> float:
        """The value in force of one of `LIMITS`: the shop's own, else the built-in one."""
        own = getattr(self, name)
        return float(built_in(name, self.bus_limit).value if own is None else own)

    def is_own(self, name: str) -> bool:
        """Whether the shop has a rule of its own here."""
        return getattr(self, name) is not None


def built_in(name: str, bus_limit: str = "plain") -> Limit:
    """The built-in rule of a name; the backbone's drop by the guide chosen."""
    limit = LIMITS[name]
    if name != "bus_drop_volts":
        return limit
    volts = BUS_LIMITS[bus_limit]
    return Limit(volts, True, limit.unit, limit.label, limit.source, least=limit.least)


def read_local_rules(**given: Any) -> LocalRules:
    """Check a shop's rules; a looser, unknown or impossible one raises SumFault of its field."""
    read: dict[str, Any] = {
        "areas": read_choice("areas", given.pop("areas", "sae"), ("sae", "awg")),
        "bus_limit": read_choice("bus_limit", given.pop("bus_limit", "plain"), tuple(BUS_LIMITS)),
    }
    smallest = given.pop("smallest_awg", None)
    if smallest is not None:
        read["smallest_awg"] = read_choice("smallest_awg", smallest, SOLD)
    known = {each.name for each in fields(LocalRules)}
    for name, value in given.items():
        if name not in known:
            refuse(name, "There is no such rule.")
        if value is not None:
            read[name] = check_local_rule(name, value, bus_limit=read["bus_limit"])
    return LocalRules(**read)


def check_local_rule(name: str, value: Any, *, bus_limit: str = "plain") -> float:
    """A shop's own value of one of `LIMITS`, refused where it is looser than the built-in rule."""
    limit = built_in(name, bus_limit)
    number = read_number(name, value, most=1000, unit=limit.unit)
    if limit.is_looser(number):
        bound = "at most" if limit.lower_is_stricter else "at least"
        refuse(
            name,
            f"{number:g} {limit.unit} is looser than the built-in {limit.value:g} {limit.unit} "
            f"({limit.source}): a rule of the shop's own may only be stricter, so {bound} "
            f"{limit.value:g}.",
        )
    if not limit.least <= number <= limit.most:
        refuse(
            name,
            f"{number:g} {limit.unit} cannot be meant: between {max(limit.least, 0):g} and "
            f"{limit.most:g} {limit.unit} is taken.",
        )
    return number
