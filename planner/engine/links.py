"""The cheapest tree of cables over a set of networked units: exact, and remembered.

Units that pass traffic on are *nodes*; all others are leaves, counted by location, since any
cable fits any port and only the locations decide what a link costs. `growing` looks for trees.
"""

from planner.engine.crossings import ports_fall_short
from planner.engine.growing import Ground, Links, TooDearError, TreeSearch
from planner.engine.network import IMPOSSIBLE, Wiring
from planner.engine.nodes import Node

__all__ = ["LinkSolver", "Links"]

_MANY = 5


class LinkSolver:
    """Answers and remembers the cheapest tree for nodes and leaves; a pure function of both.

    `ground.breathe` is called now and then in a long search and may raise to end it.
    """

    def __init__(self, wiring: Wiring) -> None:
        self.wiring = wiring
        self.ground = Ground(wiring)
        self._known: dict[tuple[tuple[Node, ...], tuple[int, ...]], Links | None] = {}
        self._some: dict[tuple[tuple[Node, ...], tuple[int, ...]], Links | None] = {}
        self._floors: dict[tuple[tuple[Node, ...], tuple[int, ...]], int] = {}

    def best(
        self, nodes: tuple[Node, ...], leaves: tuple[int, ...], below: int = IMPOSSIBLE
    ) -> Links | None:
        """The cheapest tree, or None where there is none; `leaves[a]` is the count at a.

        None too where the search sees first that none costs less than `below` cents.
        """
        key = (nodes, leaves)
        if key in self._known:
            return self._known[key]
        if below <= self._floors.get(key, 0):
            return None
        try:
            found = self._solve(nodes, leaves, below)
        except TooDearError:
            self._floors[key] = below
            return None
        self._known[key] = found
        return found

    def some(self, nodes: tuple[Node, ...], leaves: tuple[int, ...]) -> Links | None:
        """Some tree, or None where there is none; its `cents` are not worked out."""
        key = (nodes, leaves)
        if key in self._known:
            return self._known[key]
        if key not in self._some:
            self._some[key] = self._solve(nodes, leaves, None)
        return self._some[key]

    def hopeless(self, nodes: tuple[Node, ...], leaves: tuple[int, ...]) -> bool:
        """Whether it has been seen that there is no tree."""
        key = (nodes, leaves)
        return any(key in seen and seen[key] is None for seen in (self._known, self._some))

    def least(self, nodes: tuple[Node, ...], leaves: tuple[int, ...]) -> int:
        """What a tree costs at least, as far as that is known without looking for it."""
        known = self._known.get((nodes, leaves))
        if known is not None:
            return known.cents
        floor = self._floors.get((nodes, leaves), 0)
        outlook = self.ground.outlooks.get(nodes)
        if outlook is None:
            return floor
        outlook.wait_for(leaves)
        return max(floor, outlook.least())

    def _solve(
        self, nodes: tuple[Node, ...], leaves: tuple[int, ...], below: int | None
    ) -> Links | None:
        """The cheapest tree, or any where `below` is None; raises `TooDearError` where it is
        seen that none costs less than `below`.
        """
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
        return TreeSearch(self.ground, nodes, leaves, below).run()

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
