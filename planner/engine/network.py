"""Distances aboard, what a run of cable costs between two locations, and what lies there now."""

import heapq
from dataclasses import dataclass
from functools import cached_property

from planner.engine.facts import CableAboard, CableSold, Case

IMPOSSIBLE = 1 << 100


@dataclass(frozen=True, slots=True)
class Run:
    """A new cable between two locations: the cable to buy, its cost and the minutes to pull it."""

    cable: CableSold
    feet: int
    minutes: int
    cents: int


@dataclass(frozen=True)
class Wiring:
    """The locations by number; `runs[a][b]` is None where no cable sold is long enough."""

    index: dict[str, int]
    runs: tuple[tuple[Run | None, ...], ...]
    aboard: dict[tuple[int, int], tuple[CableAboard, ...]]
    free: tuple[tuple[int, ...], ...]
    price: tuple[tuple[int | None, ...], ...]

    @cached_property
    def next_to(self) -> tuple[int, ...]:
        """For each location, as bits, those to which one cable can lead from it."""
        every = range(len(self.price))
        return tuple(
            sum(1 << b for b in every if self.free[a][b] or self.price[a][b] is not None)
            for a in every
        )

    def reached(self, start: int, through: int) -> int:
        """The locations reached from `start` by cables between locations of `through` (bits)."""
        found, fresh = start, start
        while fresh:
            here = fresh.bit_length() - 1
            more = self.next_to[here] & through & ~found
            fresh = (fresh & ~(1 << here)) | more
            found |= more
        return found

    def islands(self) -> list[int]:
        """The locations parted into those that cables can join, as bits."""
        left, found = (1 << len(self.price)) - 1, []
        while left:
            island = self.reached(left & -left, left)
            found.append(island)
            left &= ~island
        return found

    def dearest_cents(self) -> int:
        """The most that one new cable can cost here."""
        return max((cents for row in self.price for cents in row if cents is not None), default=0)


def lay_out(case: Case) -> Wiring:
    """Work out distances, prices and cables aboard for every pair of locations."""
    index = {name: n for n, name in enumerate(case.locations)}
    feet = [_distances(case, name) for name in case.locations]
    runs = tuple(
        tuple(_cheapest_run(case, row.get(name)) for name in case.locations) for row in feet
    )
    aboard: dict[tuple[int, int], tuple[CableAboard, ...]] = {}
    for cable in case.cables:
        ends = (index[cable.a], index[cable.b])
        key = (min(ends), max(ends))
        aboard[key] = (*aboard.get(key, ()), cable)
    every = range(len(case.locations))
    return Wiring(
        index,
        runs,
        aboard,
        tuple(tuple(len(aboard.get((min(a, b), max(a, b)), ())) for b in every) for a in every),
        tuple(tuple(None if run is None else run.cents for run in row) for row in runs),
    )


def _distances(case: Case, start: str) -> dict[str, int]:
    found: dict[str, int] = {}
    waiting = [(0, start)]
    while waiting:
        feet, place = heapq.heappop(waiting)
        if place in found:
            continue
        found[place] = feet
        for a, b, length in case.routes:
            if a == place:
                heapq.heappush(waiting, (feet + length, b))
            if b == place:
                heapq.heappush(waiting, (feet + length, a))
    return found


def _cheapest_run(case: Case, feet: int | None) -> Run | None:
    if feet is None:
        return None
    long_enough = [c for c in case.cables_sold if c.feet >= feet + case.slack_ft]
    if not long_enough:
        return None
    cable = min(long_enough, key=lambda c: (c.price_cents, c.feet, c.id))
    rates = case.rates
    minutes = rates.pull_minutes_base + rates.pull_minutes_per_ft * feet
    return Run(cable, feet, minutes, cable.price_cents + minutes * rates.labour_cents_per_minute)
