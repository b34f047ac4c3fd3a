"""The cheapest tree of cables over a set of networked units: exact.

Units that pass traffic on are *nodes*; all others are leaves, counted by location, since any
cable fits any port and only the locations decide what a link costs. Spanning trees over the
few nodes are enumerated with a bound; for each, the leaves are handed to ports by `flow`.
"""

import heapq
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from planner.engine.crossings import ports_fall_short
from planner.engine.flow import Ports, spread_leaves
from planner.engine.network import Wiring

Join = tuple[int, int, int]
Joins = tuple[Join, ...]


_PATIENCE = 64
_MANY = 5


class Node(NamedTuple):
    """A networked unit that passes traffic on; two with different `tag`s are never joined."""

    location: int
    ports: int
    least_links: int
    adapter_cents: int
    adapters: int
    tag: int = 0


@dataclass(frozen=True, slots=True)
class Links:
    """A tree: its cost, the links between nodes and the node that takes each leaf.

    `between` holds pairs of positions in the node list, `leaves` maps a location to the nodes
    that its leaves go to, one entry for each leaf.
    """

    cents: int
    between: tuple[tuple[int, int], ...]
    leaves: tuple[tuple[int, int], ...]


def _never_stops() -> None:
    """Go on."""


class LinkSolver:
    """Answers and remembers the cheapest tree for nodes and leaves; a pure function of both.

    `breathe` is called now and then in a long search and may raise to end it.
    """

    def __init__(self, wiring: Wiring) -> None:
        self.wiring = wiring
        self.breathe: Callable[[], None] = _never_stops
        self._known: dict[tuple[tuple[Node, ...], tuple[int, ...]], Links | None] = {}

    def best(self, nodes: tuple[Node, ...], leaves: tuple[int, ...]) -> Links | None:
        """The cheapest tree, or None where there is none; `leaves[a]` is the count at a."""
        key = (nodes, leaves)
        if key not in self._known:
            self._known[key] = self._solve(nodes, leaves)
        return self._known[key]

    def _solve(self, nodes: tuple[Node, ...], leaves: tuple[int, ...]) -> Links | None:
        count = sum(leaves)
        if not nodes:
            return self._without_nodes(leaves, count)
        ends = 2 * (len(nodes) - 1) + count
        if ends == 0:
            return None if nodes[0].least_links > 1 else Links(0, (), ())
        if sum(n.ports for n in nodes) < ends or sum(n.least_links for n in nodes) > ends:
            return None
        if len(nodes) >= _MANY and ports_fall_short(
            self.wiring, [(n.location, n.ports) for n in nodes], leaves
        ):
            return None
        return _TreeSearch(self.wiring, nodes, leaves, self.breathe).run()

    def _without_nodes(self, leaves: tuple[int, ...], count: int) -> Links | None:
        if count > 2:
            return None
        if count < 2:
            return Links(0, (), ())
        places = [a for a, n in enumerate(leaves) for _ in range(n)]
        a, b = places
        if self.wiring.free[a][b]:
            return Links(0, (), ())
        cents = self.wiring.price[a][b]
        return None if cents is None else Links(cents, (), ())


class _Twig(NamedTuple):
    """A tree over some of the nodes, told apart only as far as cost and ports go.

    `inside` holds (lot, links) of each node joined, `outside` how many of each lot are not yet,
    `used` the links between each pair of locations.
    """

    inside: tuple[tuple[int, int], ...]
    outside: tuple[int, ...]
    used: tuple[tuple[tuple[int, int], int], ...]


class _TreeSearch:
    """Grows trees from the first node, cheapest outlook first; equal nodes form one lot."""

    def __init__(
        self,
        wiring: Wiring,
        nodes: tuple[Node, ...],
        leaves: tuple[int, ...],
        breathe: Callable[[], None],
    ) -> None:
        self.wiring = wiring
        self.breathe = breathe
        self.nodes = nodes
        self.leaves = leaves
        self.lots = sorted(set(nodes))
        self.nearest = [self._nearest(lot) for lot in self.lots]

    def _nearest(self, lot: Node) -> int | None:
        """The least that a link from a node of this lot to another node can cost."""
        others = list(self.nodes)
        others.remove(lot)
        costs = [cents for other in others if (cents := self._step(lot, other, {})[1]) is not None]
        return min(costs, default=None)

    def run(self) -> Links | None:
        """The cheapest tree, or None."""
        alone = len(self.nodes) == 1
        start = self._leaves([0 if alone else 1] * len(self.nodes), {}, strict=alone)
        if start is None or not (alone or self._joinable()):
            return None
        if alone:
            return Links(start[0], (), start[1])
        return self._grow(start[0])

    def _joinable(self) -> bool:
        """Whether the nodes could all be joined if ports and cables never ran out."""
        reached, waiting = {0}, [0]
        while waiting:
            here = self.lots[waiting.pop()]
            for n, lot in enumerate(self.lots):
                if n not in reached and self._step(here, lot, {})[1] is not None:
                    reached.add(n)
                    waiting.append(n)
        return len(reached) == len(self.lots) and None not in self.nearest

    def _grow(self, leaf_cents: int) -> Links | None:
        outside = [self.nodes.count(lot) for lot in self.lots]
        outside[0] -= 1
        first = _Twig(((0, 0),), tuple(outside), ())
        heap: list[tuple[int, int, int, int, _Twig, Joins, Links | None]] = []
        heapq.heappush(heap, (leaf_cents, len(self.nodes), 0, 0, first, (), None))
        seen: set[_Twig] = set()
        serial = 0
        while heap:
            _, missing, _, cents, twig, joins, links = heapq.heappop(heap)
            if links is not None:
                return links
            if twig in seen:
                continue
            seen.add(twig)
            if not len(seen) % _PATIENCE:
                self.breathe()
            if not any(twig.outside):
                links = self._finished(twig, joins, cents)
                if links is not None:
                    serial += 1
                    heapq.heappush(heap, (links.cents, 0, serial, cents, twig, joins, links))
                continue
            for more, step, join in self._grown(twig):
                serial += 1
                outlook = cents + step + leaf_cents + self._outlook(more)
                entry = (outlook, missing - 1, serial, cents + step, more, (*joins, join), None)
                heapq.heappush(heap, entry)
        return None

    def _outlook(self, twig: _Twig) -> int:
        """Each node outside will pay at least its nearest link."""
        return sum(
            count * (self.nearest[lot] or 0) for lot, count in enumerate(twig.outside) if count
        )

    def _grown(self, twig: _Twig) -> Iterator[tuple[_Twig, int, Join]]:
        used = dict(twig.used)
        for lot, links in dict.fromkeys(twig.inside):
            if links >= self.lots[lot].ports:
                continue
            for new, count in enumerate(twig.outside):
                if count:
                    pair, step = self._step(self.lots[lot], self.lots[new], used)
                    if step is not None:
                        yield self._joined(twig, lot, links, new, pair), step, (lot, links, new)

    def _joined(self, twig: _Twig, lot: int, links: int, new: int, pair: tuple[int, int]) -> _Twig:
        inside = list(twig.inside)
        inside.remove((lot, links))
        inside += [(lot, links + 1), (new, 1)]
        outside = list(twig.outside)
        outside[new] -= 1
        used = dict(twig.used)
        used[pair] = used.get(pair, 0) + 1
        return _Twig(tuple(sorted(inside)), tuple(outside), tuple(sorted(used.items())))

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
        return None if answer is None else Links(cents + answer[0], between, answer[1])

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
        ports, extra = [], 0
        for node, have in zip(self.nodes, degrees, strict=True):
            cents = node.adapter_cents
            least = max(0, node.least_links - have) if strict else 0
            costs = tuple(cents if t >= node.adapters else 0 for t in range(have, node.ports))
            ports.append(Ports(node.location, least, costs))
            extra += max(0, have - node.adapters) * cents
        answer = spread_leaves(self.wiring, self.leaves, ports, used)
        return None if answer is None else (answer[0] + extra, answer[1])
