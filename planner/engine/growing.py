"""Growing the cheapest tree over nodes and leaves: the twig with the least outlook goes first.

Once all nodes are joined, `flow` hands the leaves to ports.
"""

import heapq
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from planner.engine.flow import Ports, spread_leaves
from planner.engine.network import IMPOSSIBLE, Wiring
from planner.engine.nodes import Node
from planner.engine.outlook import Outlook, Used

Join = tuple[int, int, int]
Joins = tuple[Join, ...]


_PATIENCE = 64
_EAGER = 24
_PRICED = 200


@dataclass(frozen=True, slots=True)
class Links:
    """A tree: its cost, the links between nodes and the node that takes each leaf.

    `between` holds pairs of positions in the node list, `leaves` maps a location to the nodes
    that its leaves go to, one entry for each leaf.
    """

    cents: int
    between: tuple[tuple[int, int], ...]
    leaves: tuple[tuple[int, int], ...]


class _TooManyError(Exception):
    """More twigs were grown than looking for prices takes."""


class TooDearError(Exception):
    """Every tree costs at least what was said."""


def _never_stops() -> None:
    """Go on."""


@dataclass(slots=True)
class Ground:
    """What all trees of one boat share: its wiring, and the prices found for sets of nodes."""

    wiring: Wiring
    breathe: Callable[[], None] = _never_stops
    prices: dict[tuple[tuple[Node, ...], int], list[int]] = field(default_factory=dict)
    outlooks: dict[tuple[Node, ...], Outlook] = field(default_factory=dict)


class _Twig(NamedTuple):
    """A tree over some of the nodes, told apart only as far as cost and ports go.

    `inside` holds (lot, links) of each node joined, `outside` how many of each lot are not yet,
    `used` the installed cables that are taken between each pair of locations.
    """

    inside: tuple[tuple[int, int], ...]
    outside: tuple[int, ...]
    used: Used


Entry = tuple[int, int, int, int, _Twig, Joins, Links | None]


class TreeSearch:
    """Grows trees from the first node, cheapest outlook first; equal nodes form one lot.

    `cents` of a twig hold its links and the adapters of the ports that they take.
    """

    def __init__(
        self,
        ground: Ground,
        nodes: tuple[Node, ...],
        leaves: tuple[int, ...],
        below: int | None,
    ) -> None:
        self.prices = ground.prices
        self.outlooks = ground.outlooks
        self.any_will_do = below is None
        self.below = IMPOSSIBLE if below is None else below
        self.wiring = ground.wiring
        self.breathe = ground.breathe
        self.nodes = nodes
        self.leaves = leaves
        self.lots = sorted(set(nodes))
        self.counts = [nodes.count(lot) for lot in self.lots]
        self.looks = [self._look(heavy=heavy) for heavy in self._heaviness()]
        self.serial = 0
        self.heap: list[Entry] = []

    def _heaviness(self) -> tuple[int, ...]:
        """What is looked ahead for: cents first where they matter, and whether there is a way."""
        if self.any_will_do:
            return (0,)
        return (1, 0) if (self.nodes, 0) in self.prices else (1,)

    def _look(self, *, heavy: int) -> Outlook:
        look = Outlook(self.wiring, self.lots, self.counts, self.leaves, heavy=heavy)
        known = self.prices.get((self.nodes, heavy))
        if known is not None:
            look.set(known)
        return look

    def run(self) -> Links | None:
        """The cheapest tree, or None."""
        alone = len(self.nodes) == 1
        start = self._leaves([0 if alone else 1] * len(self.nodes), {}, strict=alone)
        if start is None:
            return None
        if alone:
            return Links(start[0], (), start[1])
        try:
            return self._grow(_PRICED if (self.nodes, 0) in self.prices else _EAGER)
        except _TooManyError:
            return self._grow(None) if self._tune() else None

    def _tune(self) -> bool:
        """Look for prices; False where they show that there is no tree."""
        doubt = self._look(heavy=0)
        least = doubt.tune()
        self.prices[self.nodes, 0] = doubt.flat
        if least > 0:
            return False
        if not self.any_will_do:
            self.looks[0].tune()
            self.prices[self.nodes, 1] = self.looks[0].flat
            self.outlooks[self.nodes] = look = self._look(heavy=1)
            look.wait_for(self.leaves)
        self.looks = [self.looks[0], doubt] if not self.any_will_do else [doubt]
        return True

    def _grow(self, patience: int | None) -> Links | None:
        outside = list(self.counts)
        outside[0] -= 1
        self.heap.clear()
        self._push(0, _Twig(((0, 0),), tuple(outside), ()), ())
        seen: set[_Twig] = set()
        while self.heap:
            outlook, missing, _, cents, twig, joins, links = heapq.heappop(self.heap)
            if links is not None:
                return links
            if twig in seen:
                continue
            seen.add(twig)
            self._mind(outlook, len(seen), patience)
            if missing:
                for more, step, join in self._grown(twig):
                    if more not in seen:
                        self._push(cents + step, more, (*joins, join))
            else:
                links = self._finished(twig, joins, cents)
                if links is not None and self.any_will_do:
                    return links
        return None

    def _mind(self, outlook: int, grown: int, patience: int | None) -> None:
        if outlook >= self.below:
            raise TooDearError
        if patience is not None and grown > patience:
            raise _TooManyError
        if not grown % _PATIENCE:
            self.breathe()

    def _push(self, cents: int, twig: _Twig, joins: Joins) -> None:
        ahead = self.looks[0].of(twig.inside, twig.outside, twig.used)
        if ahead >= IMPOSSIBLE:
            return
        doubts = self.looks if self.any_will_do else self.looks[1:]
        if any(doubt.of(twig.inside, twig.outside, twig.used) > 0 for doubt in doubts):
            return
        outlook = 0 if self.any_will_do else cents + ahead
        self._keep(outlook, sum(twig.outside), cents, twig, joins, None)

    def _keep(
        self, outlook: int, missing: int, cents: int, twig: _Twig, joins: Joins, links: Links | None
    ) -> None:
        self.serial += 1
        heapq.heappush(self.heap, (outlook, missing, self.serial, cents, twig, joins, links))

    def _grown(self, twig: _Twig) -> Iterator[tuple[_Twig, int, Join]]:
        used = dict(twig.used)
        for lot, links in dict.fromkeys(twig.inside):
            if links >= self.lots[lot].ports:
                continue
            port = self._port(lot, links)
            for new, count in enumerate(twig.outside):
                if count and self.lots[new].ports:
                    pair, step = self._step(self.lots[lot], self.lots[new], used)
                    if step is not None:
                        cents = step + port + self._port(new, 0)
                        yield self._joined(twig, lot, links, new, pair), cents, (lot, links, new)

    def _port(self, lot: int, have: int) -> int:
        """What the next port of a node with so many links costs: an adapter, or nothing."""
        node = self.lots[lot]
        return 0 if have < node.adapters else node.adapter_cents

    def _joined(self, twig: _Twig, lot: int, links: int, new: int, pair: tuple[int, int]) -> _Twig:
        inside = list(twig.inside)
        inside.remove((lot, links))
        inside += [(lot, links + 1), (new, 1)]
        outside = list(twig.outside)
        outside[new] -= 1
        used = self._used(twig.used, pair)
        return _Twig(tuple(sorted(inside)), tuple(outside), used)

    def _used(self, used: Used, pair: tuple[int, int]) -> Used:
        """With one more link over this pair, told apart only as far as installed cables go."""
        a, b = pair
        free = self.wiring.free[a][b]
        if not free or (self.any_will_do and self.wiring.price[a][b] is not None):
            return used
        counted = dict(used)
        counted[pair] = min(counted.get(pair, 0) + 1, free)
        return tuple(sorted(counted.items()))

    def _step(
        self, one: Node, two: Node, used: dict[tuple[int, int], int]
    ) -> tuple[tuple[int, int], int | None]:
        a, b = one.location, two.location
        pair = (a, b) if a < b else (b, a)
        if one.tag and two.tag and one.tag != two.tag:
            return pair, None
        if used.get(pair, 0) < self.wiring.free[a][b]:
            return pair, 0
        return pair, self.wiring.price[a][b]

    def _finished(self, twig: _Twig, joins: Joins, cents: int) -> Links | None:
        between = self._replay(joins)
        degrees = [0] * len(self.nodes)
        for pair in between:
            for end in pair:
                degrees[end] += 1
        answer = self._leaves(degrees, dict(twig.used), strict=True)
        if answer is None:
            return None
        links = Links(0 if self.any_will_do else cents + answer[0], between, answer[1])
        self._keep(links.cents, -1, cents, twig, joins, links)
        return links

    def _replay(self, joins: Joins) -> tuple[tuple[int, int], ...]:
        """The same joins with each node by its position."""
        waiting = {n: [i for i, v in enumerate(self.nodes) if v == lot]
                   for n, lot in enumerate(self.lots)}  # fmt: skip
        inside = {(0, 0): [waiting[0].pop(0)]}
        between = []
        for lot, links, new in joins:
            old = inside[lot, links].pop(0)
            fresh = waiting[new].pop(0)
            inside.setdefault((lot, links + 1), []).append(old)
            inside.setdefault((new, 1), []).append(fresh)
            between.append((min(old, fresh), max(old, fresh)))
        return tuple(between)

    def _leaves(
        self, degrees: list[int], used: dict[tuple[int, int], int], *, strict: bool
    ) -> tuple[int, tuple[tuple[int, int], ...]] | None:
        ports = []
        for node, have in zip(self.nodes, degrees, strict=True):
            cents = node.adapter_cents
            least = max(0, node.least_links - have) if strict else 0
            costs = tuple(cents if t >= node.adapters else 0 for t in range(have, node.ports))
            ports.append(Ports(node.location, least, costs))
        return spread_leaves(self.wiring, self.leaves, ports, used)
