"""What a tree that has begun must still cost: prices for ports and cables, and a spanning tree.

Every link and every leaf pays for the port that it takes at the price of the node's lot, and for
the installed cable that it takes; each node is paid for the ports that it has left, each pair of
locations for its cables. At any prices that is never more than the truth (compare `pricing`).
"""

from collections.abc import Iterable, Sequence

from planner.engine.climbing import climb
from planner.engine.network import IMPOSSIBLE, Wiring
from planner.engine.nodes import (
    Node,
    laid_pairs,
    laid_table,
    link_weight,
    port_costs,
    taken_slots,
)

_FINE = 1 << 20

Inside = tuple[tuple[int, int], ...]
Used = tuple[tuple[tuple[int, int], int], ...]
Tree = tuple[int, list[tuple[int, int, int]]]


class Outlook:
    """Bounds for trees over lots of equal nodes and leaves.

    With `heavy` 0 nothing has a price of its own: only whether there is a tree is asked, and a
    bound over 0 says that there is none.
    """

    def __init__(
        self,
        wiring: Wiring,
        lots: Sequence[Node],
        counts: Sequence[int],
        leaves: tuple[int, ...],
        *,
        heavy: int,
    ) -> None:
        self.wiring = wiring
        self.lots = lots
        self.counts = tuple(counts)
        self.leaves = leaves
        self.heavy = heavy
        self.laid = laid_pairs(wiring)
        self.costs = [port_costs(lot, heavy, alone=sum(counts) == 1) for lot in lots]
        self.here = sorted({lot.location for lot in lots})
        self.whole = tuple(n - (lot == 0) for lot, n in enumerate(counts))
        self.set([0] * (len(lots) + len(self.laid)))

    def set(self, prices: Sequence[int]) -> None:
        """Take these prices: one a lot, then one for each pair with installed cables."""
        self.flat = list(prices)
        self.prices = list(prices[: len(self.lots)])
        self.cables = dict(zip(self.laid, prices[len(self.lots) :], strict=True))
        self.table = laid_table(self.wiring, prices[len(self.lots) :])
        self.holders: dict[int, int] = {}
        for n, lot in enumerate(self.lots):
            known = self.holders.get(lot.location)
            if known is None or self.prices[n] < self.prices[known]:
                self.holders[lot.location] = n
        self.pairs = [
            [link_weight(self.wiring, a, b, self.heavy, self.table) for b in self.lots]
            for a in self.lots
        ]
        self.wait_for(self.leaves)
        self._trees: dict[tuple[tuple[int, ...], tuple[int, ...]], int] = {}
        self._left: dict[tuple[int, int], int] = {}

    def wait_for(self, leaves: tuple[int, ...]) -> None:
        """Bound trees over these leaves from now on, at the same prices."""
        self.leaves = leaves
        self.leaf_cents = sum(self._paid(a, count)[0] for a, count in enumerate(leaves) if count)

    def least(self) -> int:
        """The bound for a whole tree."""
        return self.of(((0, 0),), self.whole, ())

    def _paid(self, a: int, count: int) -> tuple[int, list[tuple[float, int, int]]]:
        """What the leaves at one location pay, and for what; see `taken_slots`."""
        ports = [0] * len(self.wiring.price)
        for place, lot in self.holders.items():
            ports[place] = self.prices[lot]
        first, last = taken_slots(self.wiring, a, ports, self.table, self.heavy, self.here)
        slots = [*first[:count], *[last] * (count - len(first))]
        return sum(int(slot[0]) for slot in slots), slots

    def of(self, inside: Inside, outside: tuple[int, ...], used: Used) -> int:
        """The least that is still to come, for (lot, links) of each node joined, how many of
        each lot are not yet, and the links there are between locations.
        """
        taken = dict(used)
        left = self.leaf_cents + sum(self._supplied(lot, links) for lot, links in inside)
        left += sum(n * self._supplied(lot, 0) for lot, n in enumerate(outside) if n)
        for (a, b), price in self.cables.items():
            if price:
                left -= price * max(0, self.wiring.free[a][b] - taken.get((a, b), 0))
        lots = self.lots
        able = tuple(sorted({lot for lot, links in inside if links < lots[lot].ports}))
        return left + self._tree(able, outside)

    def _supplied(self, lot: int, have: int) -> int:
        """What the ports left on a node cost less what is paid for them, at its lowest."""
        key = (lot, have)
        if key not in self._left:
            costs, least = self.costs[lot]
            price = self.prices[lot]
            self._left[key] = sum(
                cost - price if n < least else min(0, cost - price)
                for n, cost in enumerate(costs)
                if n >= have
            )
        return self._left[key]

    def _tree(self, able: tuple[int, ...], outside: tuple[int, ...]) -> int:
        """The lightest tree that joins all that is outside to what is inside."""
        key = (able, outside)
        if key not in self._trees:
            self._trees[key] = self._spanned(able, outside)[0]
        return self._trees[key]

    def _spanned(self, able: tuple[int, ...], outside: tuple[int, ...]) -> Tree:
        """The weight of that tree, and its links as (lot, lot, times)."""
        there = [new for new, count in enumerate(outside) if count]
        near = {new: self._lightest(new, able) for new in there}
        total = 0
        links: list[tuple[int, int, int]] = []
        for new in there:
            # A second copy makes no link of the others lighter: it hangs where that is lightest.
            if outside[new] > 1:
                weight, other = self._lightest(new, {*able, *there})
                total += weight * (outside[new] - 1)
                links.append((other, new, outside[new] - 1))
        while near:
            new = min(near, key=near.__getitem__)
            weight, before = near.pop(new)
            total += weight
            links.append((before, new, 1))
            for other, known in near.items():
                near[other] = min(known, self._lightest(other, (new,)))
        return total, links

    def _lightest(self, new: int, among: Iterable[int]) -> tuple[int, int]:
        """The weight of the lightest link from a lot to one of these, and which."""
        pairs, prices = self.pairs[new], self.prices
        ways = [(pairs[one] + prices[one] + prices[new], one) for one in among]
        return min(ways, default=(IMPOSSIBLE, -1))

    def tune(self) -> int:
        """Look for prices with a high bound for the whole tree; gives that bound."""
        start = [float(price) for price in self.flat]
        _, found = climb(self._at, start, None if self.heavy else float(_FINE))
        self.set([round(price) for price in found])
        return self.least()

    def _at(self, prices: list[float]) -> tuple[float, list[float]]:
        """The bound at these prices, and how much too much of each thing was taken."""
        self.set([round(price) for price in prices])
        ports = [0] * len(self.lots)
        cables = {(a, b): -self.wiring.free[a][b] for a, b in self.laid}
        for one, two, times in self._spanned((0,), self.whole)[1]:
            if one >= 0:
                self._tie(one, two, times, ports, cables)
        for lot, (costs, least) in enumerate(self.costs):
            price = self.prices[lot]
            used = sum(n < least or cost < price for n, cost in enumerate(costs))
            ports[lot] -= used * self.counts[lot]
        for a, count in enumerate(self.leaves):
            for _, b, installed in self._paid(a, count)[1] if count else ():
                ports[self.holders[b]] += 1
                if installed:
                    cables[min(a, b), max(a, b)] += 1
        value = self.least()
        return float(value), [float(x) for x in (*ports, *cables.values())]

    def _tie(
        self, one: int, two: int, times: int, ports: list[int], cables: dict[tuple[int, int], int]
    ) -> None:
        """Count links between two lots: their ports, and installed cables where lighter."""
        ports[one] += times
        ports[two] += times
        a, b = sorted((self.lots[one].location, self.lots[two].location))
        price = self.wiring.price[a][b]
        if (a, b) in cables and (price is None or self.table[a][b] < price * self.heavy):
            cables[a, b] += times
