"""Depth first over the units that are leaves or off the network, with all nodes settled.

Each new location starts from the exact cheapest tree over the nodes and the leaves so far: a
tree over more leaves costs at least that and, for each leaf added, the nearest link that the
bound charges. Where that takes long, prices for ports and current are looked for and the walk
begins again with a bound that knows what runs short (`pricing`).
"""

from typing import NamedTuple

from planner.engine.context import Branch, Context
from planner.engine.dominance import Dominance
from planner.engine.frames import Frame, Row
from planner.engine.links import Links
from planner.engine.network import IMPOSSIBLE
from planner.engine.nodes import Node
from planner.engine.pools import Found, weigh
from planner.engine.pricing import Prices, Settled, Toll
from planner.engine.problem import LEAF, Option
from planner.engine.selections import Placed, mask_of
from planner.engine.tuning import tuned

_FIRST_PATIENCE = 40
_PATIENCE = 200
_LONGER = 8
_FEW_NODES = 1


class State(NamedTuple):
    """Where a walk stands: `weight` is exact without links, `spent` a bound with links."""

    taken: int
    room: int
    counts: int
    spent: int
    weight: int
    power: int


class _TooLongError(Exception):
    """The walk has lasted longer than looking for better prices does."""


def after_row(frame: Frame, depth: int, state: State, row: Row, link: int) -> State | None:
    """The state after this option; None where a cap or the current forbids it."""
    counts = frame.advance(state.counts, row.counted) if row.counted else state.counts
    power = state.power - row.draw_ma
    if counts < 0 or power < frame.draw_left[depth + 1]:
        return None
    taken = 0 if frame.fresh[depth] else state.taken
    return State(
        taken + (row.link == LEAF),
        state.room + row.spread,
        counts,
        state.spent + row.weight + (link if row.link else 0),
        state.weight + row.weight,
        power,
    )


class Leafing:
    """The leaf phase of one frame for one set of nodes."""

    def __init__(
        self,
        context: Context,
        placed: Placed,
        branch: Branch,
        nodes: tuple[Node, ...],
        chosen: list[Row],
        leaves: list[int],
    ) -> None:
        self.context = context
        self.placed = placed
        self.branch = branch
        self.frame = branch.frame
        self.nodes = nodes
        self.chosen = chosen
        self.leaves = leaves
        self.eased = tuple(sorted(node._replace(least_links=1) for node in nodes))
        self.bound = context.bound(self.frame, mask_of(nodes))
        self.refund = 0 if nodes else branch.offset
        self.doubtful = False  # whether units were settled before for which there is no tree
        self.tolls: list[Toll] = []
        self.left = 0

    def run(self, state: State) -> None:
        """Offer every plan with these nodes that can still enter the pool."""
        self.settled = settled = self._settled(state)
        if self.nodes:
            self._price(settled, list(self.context.prices.values()))
        patience = _PATIENCE if self.tolls else _FIRST_PATIENCE
        while not self._closed():
            self.left = patience
            self.seen = Dominance(self.context.pool.size)
            try:
                self._walk(self.frame.first_leaf, state, tuple(toll.start for toll in self.tolls))
            except _TooLongError:
                self._tune(settled)
                patience *= _LONGER
            else:
                return

    def _settled(self, state: State) -> Settled:
        limited = self.context.demand.dc_limit_ma is not None
        return Settled(
            self.nodes,
            tuple(self.leaves),
            state.weight,
            state.power if limited else None,
            state.counts,
            state.room,
        )

    def _closed(self) -> bool:
        """Whether the prices alone show that nothing is to be found here."""
        return any(toll.start + self._rest(toll) >= self._limit(toll) for toll in self.tolls)

    def _rest(self, toll: Toll) -> int:
        settled = self.settled
        return toll.bound.rest(self.frame.first_leaf, 0, settled.room, settled.counts)

    def _limit(self, toll: Toll) -> int:
        return self.context.pool.limit if toll.heavy else 1

    def _price(self, settled: Settled, prices: list[Prices]) -> None:
        self.settled = settled
        wiring, cents = self.context.problem.wiring, self.context.aim.cents
        self.tolls = [Toll(wiring, self.frame, settled, one, cents) for one in prices]

    def _tune(self, settled: Settled) -> None:
        context = self.context
        goal = None if context.pool.limit == IMPOSSIBLE else context.pool.limit
        for heavy in (0, 1):
            if heavy and context.loose_aim:
                continue
            if not heavy and goal is not None and not context.loose_aim:
                continue
            context.prices[heavy] = tuned(
                context.problem.wiring,
                self.frame,
                settled,
                context.aim.cents,
                goal,
                heavy=heavy,
                start=context.prices.get(heavy),
            )
        self._price(settled, list(context.prices.values()))

    def _walk(self, depth: int, state: State, spent: tuple[int, ...]) -> None:
        frame, pool = self.frame, self.context.pool
        self._visit()
        done = depth == len(frame.order)
        if done or frame.fresh[depth] or depth == frame.first_leaf:
            anchored = self._anchored(depth, state)
            if anchored is None or self._beaten(depth, state):
                return
            state = state._replace(taken=0, spent=anchored)
        if done:
            self._finish(state.weight)
            return
        held = self.bound
        link = held.link(depth, 0 if frame.fresh[depth] else state.taken)
        for n, row in enumerate(frame.rows[depth]):
            after = after_row(frame, depth, state, row, link)
            if after is None:
                continue
            rest = held.rest(depth + 1, after.taken, after.room, after.counts)
            if rest < IMPOSSIBLE and after.spent + rest < pool.limit:
                paid = self._paid(depth, n, row, state, after, spent)
                if paid is not None:
                    self._take(depth, row, after, paid)

    def _visit(self) -> None:
        self.context.visit()
        self.left -= 1
        if self.left < 0 and self.nodes:
            raise _TooLongError

    def _paid(
        self, depth: int, n: int, row: Row, state: State, after: State, spent: tuple[int, ...]
    ) -> tuple[int, ...] | None:
        """What is spent at each set of prices; None where one of them closes the branch."""
        if not spent:
            return spent
        paid = []
        taken = 0 if self.frame.fresh[depth] else state.taken
        for toll, before in zip(self.tolls, spent, strict=True):
            now = before + toll.rows[depth][n]
            if row.link:
                now += toll.bound.link(depth, taken)
            rest = toll.bound.rest(depth + 1, after.taken, after.room, after.counts)
            if now + rest >= self._limit(toll):
                return None
            paid.append(now)
        return tuple(paid)

    def _take(self, depth: int, row: Row, after: State, paid: tuple[int, ...]) -> None:
        place = self.frame.places[depth]
        leaf = row.link == LEAF
        self.chosen.append(row)
        self.leaves[place] += leaf
        try:
            self._walk(depth + 1, after, paid)
        finally:
            self.leaves[place] -= leaf
            self.chosen.pop()

    def _anchored(self, depth: int, state: State) -> int | None:
        """The exact weight so far, links of the leaves so far included; None closes the branch."""
        context = self.context
        spent = state.spent
        rest = self.bound.rest(depth, 0, state.room, state.counts)
        if rest >= IMPOSSIBLE or spent + rest >= context.pool.limit:
            return None
        if not context.loose:
            base = state.weight - self.refund
            cents = self._tree_cents(tuple(self.leaves), base + rest)
            if cents is None:
                return None
            spent = max(spent, base + cents * context.aim.cents)
        return spent if spent + rest < context.pool.limit else None

    def _beaten(self, depth: int, state: State) -> bool:
        if not self.nodes:
            return False  # two leaves alone, or one: what a lone unit gives back is not in here
        options, order = self.context.problem.options, self.frame.order
        one_kind = self.seen.needed == 1
        kind = (
            ()
            if one_kind
            else tuple(options[order[d]][row.number].kind for d, row in enumerate(self.chosen))
        )
        standing = (depth, tuple(self.leaves), state.counts, state.room)
        power = state.power if self.settled.power_ma is not None else 0
        return self.seen.beaten(standing, state.weight, power, kind)

    def _tree_cents(self, leaves: tuple[int, ...], weight: int) -> int | None:
        """What the links so far cost, or None where that is too much beside `weight` or there is
        no tree; where many nodes make that dear to know, what they cost at least.
        """
        if self.context.aim.cents and self.tolls and len(self.nodes) > _FEW_NODES:
            links = self.context.problem.links
            if self.doubtful and not links.some(self.eased, leaves):
                return None
            return links.least(self.eased, leaves)
        links = self.context.tree(self.eased, leaves, weight)
        return None if links is None else links.cents

    def _finish(self, weight: int) -> None:
        leaves, context = tuple(self.leaves), self.context
        if context.aim.cents and self.nodes:
            least = context.problem.links.least(self.nodes, leaves)
            if weight + least * context.aim.cents >= context.pool.limit:
                return
        links = self._links(leaves, weight - self.refund)
        if links is None:
            self.doubtful = self.doubtful or context.problem.links.hopeless(self.nodes, leaves)
            return
        exact = weight + links.cents * self.context.aim.cents
        if exact - self.refund < self.context.pool.limit:
            self._offer(links)

    def _links(self, leaves: tuple[int, ...], weight: int) -> Links | None:
        if self.context.loose and self.nodes:
            return Links(0, (), ()) if _ports_reach(self.nodes, sum(leaves)) else None
        return self.context.tree(self.nodes, leaves, weight)

    def _offer(self, links: Links) -> None:
        problem = self.context.problem
        units: dict[int, Option] = {
            slot: problem.options[slot][self.chosen[depth].number]
            for depth, slot in enumerate(self.frame.order)
        }
        options = tuple(units[slot] for slot in sorted(units))
        weight = weigh(self.context.aim, options, self.placed, links)
        if weight < self.context.pool.limit:
            self.context.pool.offer(Found(weight, options, self.placed, links))


def _ports_reach(nodes: tuple[Node, ...], leaves: int) -> bool:
    """Whether a tree exists when every two locations can be joined any number of times."""
    ends = 2 * (len(nodes) - 1) + leaves
    if ends == 0:
        return nodes[0].least_links < 2
    return sum(n.least_links for n in nodes) <= ends <= sum(n.ports for n in nodes)
