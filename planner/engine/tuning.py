"""Prices for a leaf phase: the loosened problem in which every slot stands for itself."""

from collections.abc import Sequence
from typing import NamedTuple

from planner.engine.climbing import climb
from planner.engine.frames import Frame, Row
from planner.engine.network import IMPOSSIBLE, Wiring
from planner.engine.nodes import laid_pairs, link_weight, port_costs, taken_slots
from planner.engine.pricing import Prices, Settled
from planner.engine.problem import LEAF

_AMPERE = 1000.0
_FINE = 1 << 20
_NEVER = float(IMPOSSIBLE)


class _Way(NamedTuple):
    """One option of a slot: its weight, the amperes that it draws and the classes it meets."""

    weight: float
    draw: float
    classes: tuple[int, ...]


class _Slot(NamedTuple):
    place: int
    idle: list[_Way]
    joined: list[_Way]


class _Tally:
    """What was taken beyond what there is, of each thing with a price."""

    def __init__(self, places: int, pairs: list[tuple[int, int]], classes: int) -> None:
        self.ports = [0.0] * places
        self.laid = [[0.0] * places for _ in range(places)]
        self.pairs = pairs
        self.draw = 0.0
        self.classes = [0.0] * classes

    def link(self, a: int, b: int, installed: int) -> None:
        """A port at `b` for something at `a`, over an installed cable or a bought one."""
        self.ports[b] += 1
        self.laid[min(a, b)][max(a, b)] += installed

    def flat(self, *, limited: bool) -> list[float]:
        """One figure for each price, in their order."""
        laid = (self.laid[a][b] for a, b in self.pairs)
        return [*self.ports, *laid, self.draw if limited else 0.0, *self.classes]


class Tuning:
    """The loosened problem of one leaf phase at given prices."""

    def __init__(
        self, wiring: Wiring, frame: Frame, settled: Settled, cents: int, *, heavy: int
    ) -> None:
        self.wiring = wiring
        self.frame = frame
        self.settled = settled
        self.heavy = heavy
        self.cents = cents * heavy
        self.size = len(wiring.price)
        self.pairs = laid_pairs(wiring)
        self.here = sorted({node.location for node in settled.nodes})
        self.slots = [self._slot(d) for d in range(frame.first_leaf, len(frame.order))]
        alone = len(settled.nodes) == 1
        self.costs = [port_costs(node, self.cents, alone=alone) for node in settled.nodes]
        caps = frame.caps
        self.signs = [1.0 if j < caps else -1.0 for j in range(len(frame.fields))]
        have = frame.unpacked(settled.counts)
        self.over = [
            sign * (have[j] - field.quota)
            for j, (sign, field) in enumerate(zip(self.signs, frame.fields, strict=True))
        ]

    def _slot(self, depth: int) -> _Slot:
        idle: list[_Way] = []
        joined: list[_Way] = []
        for row in self.frame.rows[depth]:
            way = _Way(float(row.weight * self.heavy), row.draw_ma / _AMPERE, self._classes(row))
            (joined if row.link == LEAF else idle).append(way)
        return _Slot(self.frame.places[depth], idle, joined)

    def _classes(self, row: Row) -> tuple[int, ...]:
        return tuple(j for j, n in enumerate(self.frame.unpacked(row.counted)) if n)

    @property
    def limited(self) -> bool:
        """Whether the current has a limit."""
        return self.settled.power_ma is not None

    def split(self, flat: Sequence[float]) -> tuple[list, list, float, list]:
        """Prices of ports, of installed cables, of an ampere, of the classes."""
        ports, rest = list(flat[: self.size]), flat[self.size :]
        laid, rest = list(rest[: len(self.pairs)]), rest[len(self.pairs) :]
        return ports, laid, rest[0], list(rest[1:])

    def at(self, flat: list[float]) -> tuple[float, list[float]]:
        """The value at these prices, and what was taken too much of each thing."""
        ports, laid, draw, classes = self.split(flat)
        table = [[0.0] * self.size for _ in range(self.size)]
        tally = _Tally(self.size, self.pairs, len(self.over))
        value = self.settled.weight * float(self.heavy)
        for (a, b), price in zip(self.pairs, laid, strict=True):
            table[a][b] = table[b][a] = price
            value -= price * self.wiring.free[a][b]
            tally.laid[a][b] -= self.wiring.free[a][b]
        power = (self.settled.power_ma or 0) / _AMPERE
        value -= draw * power
        tally.draw = -power
        tally.classes = list(self.over)
        value += sum(c * over for c, over in zip(classes, self.over, strict=True))
        value += self._ports(ports, tally) + self._tree(ports, table, tally)
        tolls = [c * sign for c, sign in zip(classes, self.signs, strict=True)]
        value += self._units(ports, table, draw, tolls, tally)
        return value, tally.flat(limited=self.limited)

    def _units(
        self,
        ports: list[float],
        laid: list[list[float]],
        draw: float,
        tolls: list[float],
        tally: _Tally,
    ) -> float:
        waiting: list[list] = [[] for _ in range(self.size)]
        for slot in self.slots:
            idle = _lightest(slot.idle, draw, tolls)
            joined = _lightest(slot.joined, draw, tolls)
            waiting[slot.place].append((joined[0] - idle[0], idle, joined))
        value = 0.0
        for a, rows in enumerate(waiting):
            if rows or self.settled.leaves[a]:
                value += self._fill(a, rows, ports, laid, tally)
        return value

    def _fill(
        self, a: int, rows: list, ports: list[float], laid: list[list[float]], tally: _Tally
    ) -> float:
        """Join the units at one location for which that is lightest, on each port in turn."""
        rows.sort(key=lambda row: row[0])
        first, last = taken_slots(self.wiring, a, ports, laid, self.cents, self.here)
        value, taken = 0.0, 0
        for _ in range(self.settled.leaves[a]):
            slot = first[taken] if taken < len(first) else last
            value += slot[0]
            taken += 1
            tally.link(a, slot[1], slot[2])
        for gain, idle, joined in rows:
            slot = first[taken] if taken < len(first) else last
            joins = gain + slot[0] < 0
            if joins:
                taken += 1
                value += slot[0]
                tally.link(a, slot[1], slot[2])
            weight, way = joined if joins else idle
            value += weight
            if way is not None:
                self._count(way, tally)
        return value

    def _count(self, way: _Way, tally: _Tally) -> None:
        tally.draw += way.draw
        for j in way.classes:
            tally.classes[j] += self.signs[j]

    def _ports(self, ports: list[float], tally: _Tally) -> float:
        value = 0.0
        for node, (costs, least) in zip(self.settled.nodes, self.costs, strict=True):
            price = ports[node.location]
            for n, cost in enumerate(costs):
                if n < least or cost < price:
                    value += cost - price
                    tally.ports[node.location] -= 1
        return value

    def _tree(self, ports: list[float], laid: list[list[float]], tally: _Tally) -> float:
        nodes = self.settled.nodes
        known = dict.fromkeys(range(1, len(nodes)), (_NEVER * 2, 0))
        here, total = 0, 0.0
        while known:
            for n, before in known.items():
                one, two = nodes[here], nodes[n]
                way = link_weight(self.wiring, one, two, self.cents, laid)
                way += ports[one.location] + ports[two.location]
                known[n] = min(before, (way, here))
            new = min(known, key=known.__getitem__)
            weight, old = known.pop(new)
            total += weight
            self._tie(nodes[old].location, nodes[new].location, laid, tally)
            here = new
        return total

    def _tie(self, a: int, b: int, laid: list[list[float]], tally: _Tally) -> None:
        """Count a link between nodes: two ports, and an installed cable where that is lighter."""
        price = self.wiring.price[a][b]
        free = self.wiring.free[a][b]
        installed = bool(free) and (price is None or laid[a][b] < price * self.cents)
        tally.link(a, b, int(installed))
        tally.ports[a] += 1


def _lightest(ways: list[_Way], draw: float, tolls: list[float]) -> tuple[float, _Way | None]:
    best, which = _NEVER, None
    for way in ways:
        weight = way.weight + way.draw * draw
        for j in way.classes:
            weight += tolls[j]
        if which is None or weight < best:
            best, which = weight, way
    return best, which


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
    flat = [0.0] * (tuning.size + len(tuning.pairs) + 1 + len(tuning.over))
    if start is not None and heavy:
        known = [*start.ports, *start.laid, start.draw_ma * _AMPERE]
        flat[: len(known)] = [float(price) for price in known]
    aim = None if goal is None else float(goal)
    _, found = climb(tuning.at, flat, aim if heavy else 1.0)
    ports, laid, draw, _ = tuning.split(found)
    scale = 1 if heavy else _FINE
    return Prices(
        tuple(round(price * scale) for price in ports),
        tuple(round(price * scale) for price in laid),
        round(draw / _AMPERE * scale) if tuning.limited else 0,
        heavy,
    )
