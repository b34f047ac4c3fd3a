"""What is wrong with a backbone, each fault with its kind, its place and words for both."""

from collections import Counter
from dataclasses import dataclass

from planner.engine.sums.backbone_reading import Backbone
from planner.engine.sums.bus import (
    HIGHEST_NODE_VOLTS,
    LONGEST_DROP_M,
    LONGEST_DROPS_M,
    LOWEST_NODE_VOLTS,
    MA_PER_LEN,
    MOST_DEVICE_MA,
    MOST_DEVICES,
)

_HAIR = 1e-9
"""Sums of metres and volts that exceed a limit by less are the machine's rounding."""


@dataclass(frozen=True, slots=True)
class BackboneFault:
    """`kind` is a word for programs, `place` names tees or units, `message` is a sentence."""

    kind: str
    place: str
    message: str


def ring_faults(rings: list[list[str]]) -> list[BackboneFault]:
    """One for each ring."""
    return [
        BackboneFault(
            "ring",
            ", ".join(ring),
            f"Ring over tees {' – '.join([*ring, ring[0]])}: a backbone has two ends. Take one "
            "segment out.",
        )
        for ring in rings
    ]


def piece_faults(pieces: list[list[str]]) -> list[BackboneFault]:
    """One where the drawing falls into two networks or more."""
    if len(pieces) == 1:
        return []
    named = "; ".join(", ".join(piece) for piece in pieces)
    return [
        BackboneFault(
            "not_joined",
            named,
            f"Not one network but {len(pieces)}, not joined to each other: {named}.",
        )
    ]


def tee_faults(backbone: Backbone, tees: set[str]) -> list[BackboneFault]:
    """Drops, feeds and terminators at tees that no segment names."""
    placed = [(drop.tee, f"the drop to {drop.unit}") for drop in backbone.drops]
    placed += [(feed.tee, "a feed") for feed in backbone.feeds]
    placed += [(tee, "a terminator") for tee in backbone.terminators]
    return [
        BackboneFault(
            "unknown_tee", tee, f"Unknown tee {tee}: {what} is on it, but no segment goes there."
        )
        for tee, what in placed
        if tee not in tees
    ]


def drop_faults(backbone: Backbone) -> list[BackboneFault]:
    """Drops too long by themselves or together."""
    faults = [
        BackboneFault(
            "drop_too_long",
            f"{drop.unit} on tee {drop.tee}",
            f"The drop from tee {drop.tee} to {drop.unit} has {drop.metres:g} m; at most "
            f"{LONGEST_DROP_M} m are allowed.",
        )
        for drop in backbone.drops
        if drop.metres > LONGEST_DROP_M + _HAIR
    ]
    together = sum(drop.metres for drop in backbone.drops)
    if together > LONGEST_DROPS_M + _HAIR:
        longest = max(backbone.drops, key=lambda drop: drop.metres)
        faults.append(
            BackboneFault(
                "drops_too_long",
                "all drops",
                f"All drops together have {together:g} m; at most {LONGEST_DROPS_M} m are "
                f"allowed. The longest goes from tee {longest.tee} to {longest.unit}.",
            )
        )
    return faults


def unit_faults(backbone: Backbone) -> list[BackboneFault]:
    """Too many units, units on two tees, units that take too much."""
    times = Counter(drop.unit for drop in backbone.drops)
    faults = []
    if len(times) > MOST_DEVICES:
        over = list(times)[MOST_DEVICES]
        tee = next(drop.tee for drop in backbone.drops if drop.unit == over)
        faults.append(
            BackboneFault(
                "too_many_nodes",
                f"{over} on tee {tee}",
                f"{len(times)} nodes; at most {MOST_DEVICES} are allowed. The first too many is "
                f"{over} on tee {tee}.",
            )
        )
    for unit in (unit for unit, count in times.items() if count > 1):
        tees = " and ".join(drop.tee for drop in backbone.drops if drop.unit == unit)
        faults.append(
            BackboneFault(
                "unit_twice",
                f"{unit} on tees {tees}",
                f"{unit} hangs on tees {tees}: it joins two networks, or makes a ring of one. "
                "Give it one drop.",
            )
        )
    return faults + [_greedy(drop.unit, drop.len) for drop in backbone.drops if _too_much(drop.len)]


def terminator_faults(backbone: Backbone, degrees: dict[str, int]) -> list[BackboneFault]:
    """Not two terminators, both at one tee, or one that is not at an end."""
    where = backbone.terminators
    ends = ", ".join(tee for tee, count in degrees.items() if count == 1) or "none"
    faults = []
    if len(where) != 2:
        listed = ", ".join(where) or "no tee"
        faults.append(BackboneFault("terminators", listed, _terminator_words(where, listed, ends)))
    for tee, count in Counter(where).items():
        if count > 1:
            message = f"Tee {tee} has {count} terminators: one belongs at each end ({ends})."
            faults.append(BackboneFault("terminator_place", tee, message))
        if degrees.get(tee, 1) > 1:
            message = f"The terminator on tee {tee} is not at an end; the ends are {ends}."
            faults.append(BackboneFault("terminator_place", tee, message))
    return faults


def length_faults(backbone: Backbone, longest: tuple[float, str, str]) -> list[BackboneFault]:
    """The backbone, with the end drops that count in it, longer than its cable may be."""
    metres, one, other = longest
    limit = backbone.longest_m
    if limit is None or metres <= limit + _HAIR:
        return []
    memory = " (from memory)" if backbone.cable == "mid" else ""
    return [
        BackboneFault(
            "backbone_too_long",
            f"{one} to {other}",
            f"The backbone has {metres:g} m from {one} to {other}; {backbone.cable} cable may "
            f"have {limit:g} m{memory}. End drops longer than the way to the terminator count.",
        )
    ]


def volt_faults(backbone: Backbone, unit_volts: dict[str, float | None]) -> list[BackboneFault]:
    """Feeds missing or too high, nodes too low."""
    faults = []
    if not backbone.feeds:
        faults.append(BackboneFault("no_feed", "feeds", "The backbone is not fed anywhere."))
    for feed in backbone.feeds:
        if feed.volts > HIGHEST_NODE_VOLTS + _HAIR:
            message = f"Tee {feed.tee} is fed {feed.volts:g} V; at most {HIGHEST_NODE_VOLTS} V "
            faults.append(
                BackboneFault("high_volts", feed.tee, f"{message}are allowed (from memory).")
            )
    for unit, volts in unit_volts.items():
        if volts is not None and volts < LOWEST_NODE_VOLTS - _HAIR:
            tee = next(drop.tee for drop in backbone.drops if drop.unit == unit)
            message = f"{unit} on tee {tee} gets {volts:.2f} V; a node needs {LOWEST_NODE_VOLTS} V "
            faults.append(
                BackboneFault("low_volts", f"{unit} on tee {tee}", f"{message}(from memory).")
            )
    return faults


def unfed_faults(backbone: Backbone, pieces: list[list[str]]) -> list[BackboneFault]:
    """Pieces that no feed reaches, where others are fed."""
    fed = {feed.tee for feed in backbone.feeds}
    return [
        BackboneFault("no_feed", ", ".join(piece), f"No feed reaches {', '.join(piece)}.")
        for piece in pieces
        if fed and not fed.intersection(piece)
    ]


def _too_much(load: int) -> bool:
    return load * MA_PER_LEN > MOST_DEVICE_MA


def _greedy(unit: str, load: int) -> BackboneFault:
    return BackboneFault(
        "too_much_draw",
        unit,
        f"{unit} counts {load} LEN, {load * MA_PER_LEN} mA; a device may take at most "
        f"{MOST_DEVICE_MA} mA from the network.",
    )


def _terminator_words(where: tuple[str, ...], listed: str, ends: str) -> str:
    pieces = "1 terminator" if len(where) == 1 else f"{len(where)} terminators"
    found = f"{pieces} (on {listed}), not two: one belongs at each end ({ends})."
    if len(where) > 2:
        return f"{found} Two networks joined into one bring too many."
    return found
