"""Voltages of a backbone: the resistor network solved exactly, every unit a constant current.

Both conductors of the pair are counted. Each part of a tree is seen from its parent as what it
amounts to: a current where no feed lies in it, a voltage behind a resistance where one does. Two
passes, up and down, give every tee; no matrix is needed and nothing is approximated.
"""

from dataclasses import dataclass

from planner.engine.sums.backbone_reading import Backbone
from planner.engine.sums.backbone_tree import Ways, walk_from
from planner.engine.sums.bus import simple_drop

AMPS_PER_LEN = 0.05
CONDUCTORS = 2


@dataclass(frozen=True, slots=True)
class _Seen:
    """A part of the tree seen from above; without a feed in it `volts` is null."""

    amps: float
    volts: float | None = None
    ohms: float = 0.0


def find_tee_volts(
    ways: Ways, draws: dict[str, float], feeds: dict[str, float], ohms_per_metre: float
) -> dict[str, float]:
    """Volts at every tee of the pieces that have a feed; the pieces must be trees.

    `draws` is amperes taken at a tee, `feeds` volts held at a tee, `ohms_per_metre` of both
    conductors together. Any exact number type works in place of floats.
    """
    volts: dict[str, float] = {}
    for root in feeds:
        if root not in volts and root in ways:
            volts |= _solve_piece(ways, root, draws, feeds, ohms_per_metre)
    return volts


def find_unit_volts(backbone: Backbone, tee_volts: dict[str, float]) -> dict[str, float | None]:
    """Volts at every unit, at the far end of its drop; null where no feed reaches its tee."""
    units: dict[str, float | None] = {}
    for drop in backbone.drops:
        at_tee = tee_volts.get(drop.tee)
        lost = CONDUCTORS * backbone.ohm_per_m * drop.metres * drop.len * AMPS_PER_LEN
        at_unit = None if at_tee is None else at_tee - lost
        units[drop.unit] = _lower(units.get(drop.unit, at_unit), at_unit)
    return units


def find_draws(backbone: Backbone) -> dict[str, float]:
    """Amperes taken at each tee."""
    loads: dict[str, int] = {}
    for drop in backbone.drops:
        loads[drop.tee] = loads.get(drop.tee, 0) + drop.len
    return {tee: load * AMPS_PER_LEN for tee, load in loads.items()}


def estimate_drop(backbone: Backbone, ways: Ways) -> float | None:
    """The standard's upper estimate: the worst branch away from the nearest feed; null unfed."""
    loads: dict[tuple[str, str], int] = {}
    furthest: dict[tuple[str, str], float] = {}
    reached = {feed.tee: walk_from(ways, feed.tee) for feed in backbone.feeds if feed.tee in ways}
    for drop in backbone.drops:
        near = [feed for feed, tees in reached.items() if drop.tee in tees]
        if not near:
            continue
        feed = min(near, key=lambda each: reached[each][drop.tee][1])
        branch = (feed, _first_hop(reached[feed], drop.tee) or f"drop to {drop.unit}")
        loads[branch] = loads.get(branch, 0) + drop.len
        away = reached[feed][drop.tee][1] + drop.metres
        furthest[branch] = max(furthest.get(branch, 0), away)
    drops = (
        simple_drop(load, furthest[branch], backbone.ohm_per_m) for branch, load in loads.items()
    )
    return max(drops, default=0.0 if reached else None)


def _solve_piece(
    ways: Ways,
    root: str,
    draws: dict[str, float],
    feeds: dict[str, float],
    ohms_per_metre: float,
) -> dict[str, float]:
    reached = walk_from(ways, root)
    lengths = {(tee, other): metres for tee in reached for other, metres in ways[tee]}
    above = {
        tee: (before, lengths[tee, before] * ohms_per_metre)
        for tee, (before, _) in reached.items()
        if before is not None
    }
    seen = _look_up(list(reached), above, draws, feeds)
    volts = {root: feeds[root]}
    for tee, (before, ohms) in above.items():
        part = seen[tee]
        if tee in feeds:
            volts[tee] = feeds[tee]
        elif part.volts is None:
            volts[tee] = volts[before] - ohms * part.amps
        else:
            amps = (part.volts - volts[before]) / (part.ohms + ohms)
            volts[tee] = volts[before] + amps * ohms
    return volts


def _look_up(
    order: list[str],
    above: dict[str, tuple[str, float]],
    draws: dict[str, float],
    feeds: dict[str, float],
) -> dict[str, _Seen]:
    seen: dict[str, _Seen] = {}
    amps = {tee: draws.get(tee, 0) for tee in order}
    conductance: dict[str, float] = dict.fromkeys(order, 0)
    for tee in reversed(order):
        seen[tee] = part = _amount(tee, amps[tee], conductance[tee], feeds)
        if tee not in above:
            continue
        before, ohms = above[tee]
        if part.volts is None:
            amps[before] += part.amps
        else:
            branch = part.ohms + ohms
            conductance[before] += 1 / branch
            amps[before] -= part.volts / branch
    return seen


def _amount(tee: str, amps: float, conductance: float, feeds: dict[str, float]) -> _Seen:
    if tee in feeds:
        return _Seen(amps, feeds[tee], 0)
    if not conductance:
        return _Seen(amps)
    return _Seen(amps, -amps / conductance, 1 / conductance)


def _first_hop(reached: dict[str, tuple[str | None, float]], tee: str) -> str | None:
    hop = None
    before = reached[tee][0]
    while before is not None:
        hop, tee = tee, before
        before = reached[tee][0]
    return hop


def _lower(one: float | None, other: float | None) -> float | None:
    if one is None or other is None:
        return None
    return min(one, other)
