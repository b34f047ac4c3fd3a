"""The cheapest tree of cables over a set of networked units: exact.

Units that pass traffic on are *nodes*; all others are leaves, counted by location, since any
cable fits any port and only the locations decide what a link costs. Spanning trees over the
few nodes are enumerated with a bound; for each, the leaves are handed to ports by `flow`.
"""

from dataclasses import dataclass
from typing import NamedTuple

from planner.engine.flow import Ports, spread_leaves
from planner.engine.network import Wiring


class Node(NamedTuple):
    """A networked unit that passes traffic on."""

    location: int
    ports: int
    least_links: int
    adapter_cents: int
    adapters: int


@dataclass(frozen=True, slots=True)
class Links:
    """A tree: its cost, the links between nodes and the node that takes each leaf.

    `between` holds pairs of positions in the node list, `leaves` maps a location to the nodes
    that its leaves go to, one entry for each leaf.
    """

    cents: int
    between: tuple[tuple[int, int], ...]
    leaves: tuple[tuple[int, int], ...]


class LinkSolver:
    """Answers and remembers the cheapest tree for nodes and leaves; a pure function of both."""

    def __init__(self, wiring: Wiring) -> None:
        self.wiring = wiring
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
        return _TreeSearch(self.wiring, nodes, leaves).run()

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


class _TreeSearch:
    """Branch and bound over the spanning trees of the nodes."""

    def __init__(self, wiring: Wiring, nodes: tuple[Node, ...], leaves: tuple[int, ...]) -> None:
        self.wiring = wiring
        self.nodes = nodes
        self.leaves = leaves
        self.edges = self._edges()
        self.best: Links | None = None
        self.seen: set[tuple[tuple[int, ...], tuple[tuple[int, int, int], ...]]] = set()
        self.leaf_bound = 0

    def _edges(self) -> list[tuple[int, int, int]]:
        free, price = self.wiring.free, self.wiring.price
        found = []
        for i, one in enumerate(self.nodes):
            for j in range(i + 1, len(self.nodes)):
                a, b = one.location, self.nodes[j].location
                cents = 0 if free[a][b] else price[a][b]
                if cents is not None:
                    found.append((cents, i, j))
        return sorted(found)

    def run(self) -> Links | None:
        """Search all trees; the first of the cheapest is kept."""
        degrees = [1 if len(self.nodes) > 1 else 0] * len(self.nodes)
        start = self._leaves(degrees, {})
        if start is None:
            return None
        self.leaf_bound = start[0]
        self._grow(0, tuple(range(len(self.nodes))), [0] * len(self.nodes), {}, 0, ())
        return self.best

    def _leaves(
        self, degrees: list[int], used: dict[tuple[int, int], int], *, strict: bool = False
    ) -> tuple[int, tuple[tuple[int, int], ...]] | None:
        ports = [
            Ports(
                node.location,
                max(0, node.least_links - have) if strict else 0,
                tuple(
                    node.adapter_cents if t >= node.adapters else 0 for t in range(have, node.ports)
                ),
            )
            for node, have in zip(self.nodes, degrees, strict=True)
        ]
        extra = 0
        for node, have in zip(self.nodes, degrees, strict=True):
            extra += max(0, have - node.adapters) * node.adapter_cents
        answer = spread_leaves(self.wiring, self.leaves, ports, used)
        return None if answer is None else (answer[0] + extra, answer[1])

    def _grow(
        self,
        at: int,
        group: tuple[int, ...],
        degrees: list[int],
        used: dict[tuple[int, int], int],
        cents: int,
        chosen: tuple[tuple[int, int], ...],
    ) -> None:
        missing = len(self.nodes) - 1 - len(chosen)
        if missing == 0:
            self._finish(degrees, used, cents, chosen)
            return
        if at >= len(self.edges):
            return
        bound = cents + missing * self.edges[at][0] + self.leaf_bound
        if self.best is not None and bound >= self.best.cents:
            return
        _, i, j = self.edges[at]
        if group[i] != group[j] and self._has_ports(i, j, degrees):
            pair, step = self._step(i, j, used)
            if step is not None:
                more = list(degrees)
                more[i] += 1
                more[j] += 1
                joined = tuple(group[i] if g == group[j] else g for g in group)
                self._grow(
                    at + 1,
                    joined,
                    more,
                    {**used, pair: used.get(pair, 0) + 1},
                    cents + step,
                    (*chosen, (i, j)),
                )
        self._grow(at + 1, group, degrees, used, cents, chosen)

    def _has_ports(self, i: int, j: int, degrees: list[int]) -> bool:
        return degrees[i] < self.nodes[i].ports and degrees[j] < self.nodes[j].ports

    def _step(
        self, i: int, j: int, used: dict[tuple[int, int], int]
    ) -> tuple[tuple[int, int], int | None]:
        a, b = self.nodes[i].location, self.nodes[j].location
        pair = (min(a, b), max(a, b))
        if used.get(pair, 0) < self.wiring.free[a][b]:
            return pair, 0
        return pair, self.wiring.price[a][b]

    def _finish(
        self,
        degrees: list[int],
        used: dict[tuple[int, int], int],
        cents: int,
        chosen: tuple[tuple[int, int], ...],
    ) -> None:
        key = (tuple(degrees), tuple(sorted((*pair, n) for pair, n in used.items())))
        if key in self.seen:
            return
        self.seen.add(key)
        if self.best is not None and cents + self.leaf_bound >= self.best.cents:
            return
        answer = self._leaves(degrees, used, strict=True)
        if answer is None:
            return
        total = cents + answer[0]
        if self.best is None or total < self.best.cents:
            self.best = Links(total, chosen, answer[1])
