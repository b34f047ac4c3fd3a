"""A backbone as it is drawn: segments between tees, drops, feeds, terminators, cable."""

from dataclasses import dataclass
from typing import Any

from planner.engine.sums.bus import (
    CABLE_OHM_PER_M,
    LONGEST_BACKBONE_M,
    MOST_LEN,
    MOST_METRES,
    MOST_OHM_PER_M,
)
from planner.engine.sums.faults import refuse
from planner.engine.sums.inputs import (
    read_choice,
    read_key,
    read_name,
    read_number,
    read_rows,
    read_whole,
    show,
)

MOST_FEED_VOLTS = 60


@dataclass(frozen=True, slots=True)
class Segment:
    """A length of backbone cable between two tees."""

    one: str
    other: str
    metres: float


@dataclass(frozen=True, slots=True)
class Drop:
    """A drop cable from a tee to a unit of `len` load equivalencies."""

    tee: str
    metres: float
    unit: str
    len: int


@dataclass(frozen=True, slots=True)
class Feed:
    """A tee at which the network is fed."""

    tee: str
    volts: float


@dataclass(frozen=True, slots=True)
class Backbone:
    """A whole backbone; `longest_m` is null where the cable is not one of the known kinds."""

    segments: tuple[Segment, ...]
    drops: tuple[Drop, ...]
    feeds: tuple[Feed, ...]
    terminators: tuple[str, ...]
    cable: str
    ohm_per_m: float
    longest_m: float | None


def read_backbone(
    *, segments: Any, drops: Any, feeds: Any, terminators: Any, cable: Any
) -> Backbone:
    """Read the drawing; what cannot be read is refused by its place, `drops[3].metres`."""
    read_segments = _read_segments(segments)
    read_drops = tuple(
        _read_drop(f"drops[{place}]", row) for place, row in enumerate(read_rows("drops", drops))
    )
    ends = enumerate(read_rows("terminators", terminators))
    kind, ohm_per_m, longest = _read_cable(cable)
    return Backbone(
        segments=read_segments,
        drops=read_drops,
        feeds=_read_feeds(feeds),
        terminators=tuple(read_name(f"terminators[{place}]", row) for place, row in ends),
        cable=kind,
        ohm_per_m=ohm_per_m,
        longest_m=longest,
    )


def _read_segments(value: Any) -> tuple[Segment, ...]:
    rows = read_rows("segments", value)
    if not rows:
        refuse("segments", "The list is empty: a backbone has at least one segment.")
    return tuple(_read_segment(f"segments[{place}]", row) for place, row in enumerate(rows))


def _read_segment(field: str, row: Any) -> Segment:
    return Segment(
        read_name(f"{field}.from", read_key(field, row, "from")),
        read_name(f"{field}.to", read_key(field, row, "to")),
        _read_metres(field, row),
    )


def _read_drop(field: str, row: Any) -> Drop:
    load = read_key(field, row, "len")
    return Drop(
        read_name(f"{field}.tee", read_key(field, row, "tee")),
        _read_metres(field, row),
        read_name(f"{field}.unit", read_key(field, row, "unit")),
        read_whole(f"{field}.len", load, least=0, most=MOST_LEN, unit="LEN"),
    )


def _read_metres(field: str, row: Any) -> float:
    metres = read_key(field, row, "metres")
    return read_number(f"{field}.metres", metres, most=MOST_METRES, unit="m")


def _read_feeds(value: Any) -> tuple[Feed, ...]:
    feeds: dict[str, Feed] = {}
    for place, row in enumerate(read_rows("feeds", value)):
        field = f"feeds[{place}]"
        tee = read_name(f"{field}.tee", read_key(field, row, "tee"))
        if tee in feeds:
            refuse(f"{field}.tee", f"Tee {tee} is fed twice: name each feed once.")
        volts = read_key(field, row, "volts")
        feeds[tee] = Feed(tee, read_number(f"{field}.volts", volts, most=MOST_FEED_VOLTS, unit="V"))
    return tuple(feeds.values())


def _read_cable(value: Any) -> tuple[str, float, float | None]:
    if isinstance(value, dict):
        ohms = read_key("cable", value, "ohm_per_m")
        known = read_number("cable.ohm_per_m", ohms, most=MOST_OHM_PER_M, unit="Ω/m")
        return "own", known, None
    if not isinstance(value, str):
        refuse("cable", f"{show(value)} is neither a kind of cable nor an ohm_per_m.")
    kind = read_choice("cable", value, tuple(CABLE_OHM_PER_M))
    return kind, CABLE_OHM_PER_M[kind], LONGEST_BACKBONE_M[kind]
