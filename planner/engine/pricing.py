"""Prices for what runs short, ports at a location and current, make a bound that knows of both.

Whoever takes a port pays its price, and the node that has it is paid; likewise for the current.
At any prices, the cheapest way to fill the slots one by one then costs no more than the best
plan does: no plan takes more than there is, so what is paid back is never less than what was
paid. (Lagrangian duality; the prices themselves are looked for in `tuning`.)
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from planner.engine.bounds import Bound
from planner.engine.frames import Frame, Row, Step
from planner.engine.network import IMPOSSIBLE, Wiring
from planner.engine.nodes import (
    Node,
    first_margins,
    laid_pairs,
    laid_table,
    link_margins,
    link_weight,
    port_costs,
)


class Prices(NamedTuple):
    """What a port costs at each location, an installed cable between each pair of locations that
    has one, and a milliampere; `heavy` is 0 where plans weigh nothing and only what runs short
    is asked about.
    """

    ports: tuple[int, ...]
    laid: tuple[int, ...]
    draw_ma: int
    heavy: int


class Settled(NamedTuple):
    """What a leaf phase starts from: its nodes, the leaves so far by location, what they weigh,
    the current that is left (None without a limit) and the counts.
    """

    nodes: tuple[Node, ...]
    leaves: tuple[int, ...]
    weight: int
    power_ma: int | None
    counts: int
    room: int


class Toll:
    """The bound of one leaf phase at some prices; with `heavy` 0 a value over 0 refutes it."""

    def __init__(
        self, wiring: Wiring, frame: Frame, settled: Settled, prices: Prices, cents: int
    ) -> None:
        self.heavy = prices.heavy
        self.prices = prices
        cents *= prices.heavy
        places = 0
        for node in settled.nodes:
            places |= 1 << node.location
        self.laid = laid_table(wiring, prices.laid)
        margins = link_margins(wiring, places, cents, prices.ports, self.laid)
        pairs = zip(laid_pairs(wiring), prices.laid, strict=True)
        self.rows = [[self._weigh(row) for row in rows] for rows in frame.rows]
        steps = [self._steps(rows) for rows in frame.rows]
        self.bound = Bound(frame, margins, steps)
        self.start = (
            settled.weight * prices.heavy
            - prices.draw_ma * (settled.power_ma or 0)
            + sum(self._supplied(node, cents, settled) for node in settled.nodes)
            + self._joined(wiring, settled.nodes, cents)
            - sum(wiring.free[a][b] * price for (a, b), price in pairs)
            + sum(first_margins(margins[a], count) for a, count in enumerate(settled.leaves))
        )

    def _weigh(self, row: Row) -> int:
        return row.weight * self.heavy + row.draw_ma * self.prices.draw_ma

    def _steps(self, rows: Iterable[Row]) -> list[Step]:
        best: dict[tuple[int, int, int], int] = {}
        for row in rows:
            key = (row.link, row.spread, row.counted)
            weight = self._weigh(row)
            if weight < best.get(key, weight + 1):
                best[key] = weight
        return sorted(Step(weight, *key) for key, weight in best.items())

    def _supplied(self, node: Node, cents: int, settled: Settled) -> int:
        """What the ports of a node cost less what is paid for them, at its lowest."""
        alone = len(settled.nodes) == 1
        costs, least = port_costs(node, cents, alone=alone)
        price = self.prices.ports[node.location]
        return sum(costs[:least]) - least * price + sum(min(0, c - price) for c in costs[least:])

    def _joined(self, wiring: Wiring, nodes: Sequence[Node], cents: int) -> int:
        """The lightest tree over the nodes when each end of a link pays for its port."""
        ports = self.prices.ports
        left = dict.fromkeys(range(1, len(nodes)), IMPOSSIBLE)
        here, total = 0, 0
        while left:
            for n, known in left.items():
                weight = link_weight(wiring, nodes[here], nodes[n], cents, self.laid)
                weight += ports[nodes[here].location] + ports[nodes[n].location]
                left[n] = min(known, weight)
            here = min(left, key=left.__getitem__)
            total += left.pop(here)
        return total
