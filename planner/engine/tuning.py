"""Prices that make the bound of a leaf phase high: climbing by what was taken too much.

Figures with a point are used here and nowhere else in the search: whatever the prices are, the
bound that is then worked out from them is exact, so they decide how fast a search is, never
what it finds.
"""

from collections.abc import Sequence
from typing import NamedTuple

from planner.engine.frames import IMPOSSIBLE, Frame, Row
from planner.engine.links import Node
from planner.engine.network import Wiring
from planner.engine.pricing import Prices, Settled, link_weight, port_costs
from planner.engine.problem import LEAF

_ROUNDS = 80
_PATIENCE = 5
_AMPERE = 1000.0
_FINE = 1 << 20
_NEVER = float(IMPOSSIBLE)


class Climb(NamedTuple):
    """The prices found, by how much they are worth."""

    value: float
    ports: list[float]
    draw: float


class _Slot(NamedTuple):
    place: int
    idle: list[tuple[float, float, list[int]]]
    joined: list[tuple[float, float, list[int]]]


class Tuning:
    """The loosened problem of one leaf phase: every slot for itself, all that is scarce priced."""

    def __init__(
        self, wiring: Wiring, frame: Frame, settled: Settled, cents: int, *, heavy: int
    ) -> None:
        self.wiring = wiring
        self.frame = frame
        self.settled = settled
        self.heavy = heavy
        self.cents = cents * heavy
        self.size = len(wiring.price)
        self.here = sorted({node.location for node in settled.nodes})
        self.fields = frame.fields
        self.limited = settled.power_ma is not None
        self.slots = [self._slot(d) for d in range(frame.first_leaf, len(frame.order))]
        self.have = frame.unpacked(settled.counts)
        self.costs = [self._port_costs(node) for node in settled.nodes]
        self.quotes = [self._quotes(a) for a in range(self.size)]
        self.pairs = [
            [min(float(link_weight(wiring, a, b, self.cents)), _NEVER) for b in settled.nodes]
            for a in settled.nodes
        ]

    def _port_costs(self, node: Node) -> tuple[list[int], int]:
        return port_costs(node, self.cents, alone=len(self.settled.nodes) == 1)

    def _slot(self, depth: int) -> _Slot:
        idle, joined = [], []
        for row in self.frame.rows[depth]:
            one = (float(row.weight * self.heavy), row.draw_ma / _AMPERE, self._classes(row))
            (joined if row.link == LEAF else idle).append(one)
        return _Slot(self.frame.places[depth], idle, joined)

    def _classes(self, row: Row) -> list[int]:
        return [j for j, n in enumerate(self.frame.unpacked(row.counted)) if n]

    def _quotes(self, a: int) -> list[tuple[int, int, float]]:
        """(location of the port, cables there are, what a bought one weighs) for leaves at a."""
        price, free = self.wiring.price[a], self.wiring.free[a]
        return [
            (b, free[b], _NEVER if (c := price[b]) is None else float(c * self.cents))
            for b in self.here
        ]

    def climb(self, goal: float | None, start: Prices | None) -> Climb:
        """Prices at which the bound is as high as could be found, `goal` where that is reached."""
        ports, draw = [0.0] * self.size, 0.0
        if start is not None:
            ports, draw = [float(p) for p in start.ports], start.draw_ma * _AMPERE
        classes = [0.0] * len(self.fields)
        best = Climb(-_NEVER, ports, draw)
        pace, waited = 1.0, 0
        for _ in range(_ROUNDS):
            value, short, over, counted = self._at(ports, draw, classes)
            if value > best.value:
                best, waited = Climb(value, list(ports), draw), 0
            else:
                waited += 1
            if value >= _NEVER / 2 or (goal is not None and value >= goal):
                break
            if waited > _PATIENCE:
                pace, waited = pace / 2, 0
            length = sum(x * x for x in short) + over * over + sum(x * x for x in counted)
            if not length or pace < 1e-3:
                break
            aim = best.value + abs(best.value) / 20 + 1 if goal is None else goal
            step = pace * (aim - value) / length
            ports = [max(0.0, p + step * x) for p, x in zip(ports, short, strict=True)]
            draw = max(0.0, draw + step * over)
            classes = [max(0.0, c + step * x) for c, x in zip(classes, counted, strict=True)]
        return best

    def _at(
        self, ports: list[float], draw: float, classes: list[float]
    ) -> tuple[float, list[float], float, list[float]]:
        """The loosened problem's value at these prices, and what was taken too much of each."""
        short = [0.0] * self.size
        value = self.settled.weight * float(self.heavy)
        value += self._ports(ports, short) + self._tree(ports, short)
        signs = [1.0 if j < self.frame.caps else -1.0 for j in range(len(self.fields))]
        counted = []
        for j, field in enumerate(self.fields):
            over = signs[j] * (self.have[j] - field.quota)
            value += classes[j] * over
            counted.append(over)
        power = 0.0 if not self.limited else (self.settled.power_ma or 0) / _AMPERE
        value -= draw * power
        tolls = [c * s for c, s in zip(classes, signs, strict=True)]
        by_place = self._by_place(draw, tolls)
        taken_draw = -power
        for a, (fixed, rows) in enumerate(by_place):
            more, picked = self._fill(a, fixed, rows, ports, short)
            value += more
            for _, drawn, marks in picked:
                taken_draw += drawn
                for j in marks:
                    counted[j] += signs[j]
        return value, short, taken_draw if self.limited else 0.0, counted

    def _by_place(self, draw: float, tolls: list[float]) -> list:
        found = [(count, []) for count in self.settled.leaves]
        for slot in self.slots:
            idle = self._lightest(slot.idle, draw, tolls)
            joined = self._lightest(slot.joined, draw, tolls)
            found[slot.place][1].append((joined[0] - idle[0], idle, joined))
        return found

    @staticmethod
    def _lightest(rows: Sequence, draw: float, tolls: list[float]) -> tuple:
        best, which = _NEVER, None
        for row in rows:
            weight = row[0] + row[1] * draw
            for j in row[2]:
                weight += tolls[j]
            if which is None or weight < best:
                best, which = weight, row
        return best, which

    def _fill(
        self, a: int, fixed: int, rows: list, ports: list[float], short: list[float]
    ) -> tuple[float, list]:
        """Join the units at one location for which that is lightest; each port in turn."""
        rows.sort(key=lambda row: row[0])
        free = sorted((ports[b], n, b) for b, n, _ in self.quotes[a] if n)
        last, where = min(((w + ports[b], b) for b, _, w in self.quotes[a]), default=(_NEVER, 0))
        slots = [(p, b) for p, n, b in free if p < last for _ in range(n)]
        value, picked = 0.0, []
        for n in range(fixed):
            price, b = slots[n] if n < len(slots) else (last, where)
            value += price
            short[b] += 1
        taken = fixed
        for gain, idle, joined in rows:
            price, b = slots[taken] if taken < len(slots) else (last, where)
            if gain + price < 0:
                taken += 1
                value += joined[0] + price
                short[b] += 1
                picked.append(joined[1])
            else:
                value += idle[0]
                if idle[1] is not None:
                    picked.append(idle[1])
        return value, picked

    def _ports(self, ports: list[float], short: list[float]) -> float:
        value = 0.0
        for node, (costs, least) in zip(self.settled.nodes, self.costs, strict=True):
            price = ports[node.location]
            for n, cost in enumerate(costs):
                if n < least or cost < price:
                    value += cost - price
                    short[node.location] -= 1
        return value

    def _tree(self, ports: list[float], short: list[float]) -> float:
        nodes = self.settled.nodes
        known = {n: (_NEVER * 2, 0) for n in range(1, len(nodes))}
        here, total = 0, 0.0
        while known:
            for n, (weight, _) in known.items():
                way = self.pairs[here][n] + ports[nodes[here].location] + ports[nodes[n].location]
                if way < weight:
                    known[n] = (way, here)
            nearest = min(known, key=known.__getitem__)
            weight, before = known.pop(nearest)
            total += weight
            short[nodes[before].location] += 1
            short[nodes[nearest].location] += 1
            here = nearest
        return total


def tuned(
    wiring: Wiring,
    frame: Frame,
    settled: Settled,
    cents: int,
    goal: int | None,
    *,
    heavy: int,
    start: Prices | None = None,
) -> Prices:
    """Good prices for a leaf phase; `goal` is a weight that the bound need not go beyond."""
    tuning = Tuning(wiring, frame, settled, cents, heavy=heavy)
    aim = None if goal is None else float(goal)
    found = tuning.climb(aim if heavy else 1.0, start if heavy else None)
    scale = 1.0 if heavy else float(_FINE)
    return Prices(
        tuple(round(p * scale) for p in found.ports),
        round(found.draw / _AMPERE * scale) if tuning.limited else 0,
        heavy,
    )
