"""Depth first over the units, with the switches in their places."""

from typing import NamedTuple

from planner.engine.context import Branch, Context
from planner.engine.frames import IMPOSSIBLE, Row
from planner.engine.links import Links, Node
from planner.engine.pools import Found, weigh
from planner.engine.problem import LEAF, NODE, Option
from planner.engine.selections import Placed, mask_of


class State(NamedTuple):
    """Where a descent stands: `weight` is exact without links, `spent` a bound with links."""

    taken: int
    room: int
    counts: int
    spent: int
    weight: int
    power: int


class Descent:
    """Depth first over the slots of one frame, with the switches in their places.

    Nodes come first in the frame's order. Once they are known, each new location starts from
    the exact cheapest tree over nodes and leaves so far: a tree over more leaves costs at least
    that and, for each leaf added, the nearest link that the bound charges.
    """

    def __init__(self, context: Context, placed: Placed, branch: Branch) -> None:
        self.context = context
        self.placed = placed
        self.branch = branch
        self.frame = branch.frame
        self.chosen: list[Row] = []
        self.spots = placed.places
        self.leaves = [0] * len(context.problem.wiring.price)
        self.nodes: tuple[Node, ...] = placed.nodes
        self.eased: tuple[Node, ...] = ()
        places = context.possible_places(self.frame, placed.places)
        self.bound = context.bound(self.frame, places)

    def run(self) -> None:
        """Offer every plan that can still enter the pool."""
        selection = self.placed.selection
        spent = selection.weight - self.branch.offset
        if selection.networked:
            spent += self.context.joining_weight(self.placed, self.frame)
        limit = self.context.demand.dc_limit_ma
        power = IMPOSSIBLE if limit is None else limit - selection.draw_ma
        self._down(0, State(0, selection.spread, 0, spent, selection.weight, power))

    def _down(self, depth: int, state: State) -> None:
        frame = self.frame
        self.context.visit()
        if depth >= frame.first_leaf and (depth == len(frame.order) or frame.fresh[depth]):
            spent = self._anchored(depth, state)
            if spent is None:
                return
            state = state._replace(taken=0, spent=spent)
        if depth == len(frame.order):
            self._finish(state.weight)
            return
        held, limit = self.bound, self.context.pool
        link = held.link(depth, 0 if frame.fresh[depth] else state.taken)
        for row in frame.rows[depth]:
            after = self._after(depth, state, row, link)
            if after is None:
                continue
            rest = held.rest(depth + 1, after.taken, after.room, after.counts)
            if after.spent + rest < limit.limit:
                self._take(depth, row, after)
                self.bound = held

    def _after(self, depth: int, state: State, row: Row, link: int) -> State | None:
        """The state after this option; None where a cap or the current forbids it."""
        frame = self.frame
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

    def _take(self, depth: int, row: Row, after: State) -> None:
        place = self.frame.places[depth]
        leaf = row.link == LEAF
        spots = self.spots
        if row.link == NODE:
            self.spots |= 1 << place
        self.chosen.append(row)
        self.leaves[place] += leaf
        if depth >= self.frame.first_leaf or self._joinable(depth + 1):
            self._down(depth + 1, after)
        self.leaves[place] -= leaf
        self.chosen.pop()
        self.spots = spots

    def _joinable(self, depth: int) -> bool:
        """Whether the nodes so far can still be joined by those to come."""
        return self.context.joinable(self.spots, self.frame.later_places[depth])

    def _anchored(self, depth: int, state: State) -> int | None:
        """The exact weight so far, links of the leaves so far included; None closes the branch."""
        frame, context = self.frame, self.context
        if depth == frame.first_leaf and not self._know_nodes():
            return None
        spent = state.spent
        if not context.loose:
            links = context.problem.links.best(self.eased, tuple(self.leaves))
            if links is None:
                return None
            exact = state.weight + links.cents * context.aim.cents
            spent = max(spent, exact if self.nodes else exact - self.branch.offset)
        rest = self.bound.rest(depth, 0, state.room, state.counts)
        return spent if spent + rest < context.pool.limit else None

    def _know_nodes(self) -> bool:
        """Settle the nodes and tighten the bound to them; False where there had to be one."""
        first = self.frame.first_leaf
        options = [self._option(depth) for depth in range(first)]
        chosen = [option.node for option in options if option.node]
        if self.branch.bridged and not chosen:
            return False
        self.nodes = tuple(sorted((*self.placed.nodes, *chosen)))
        self.eased = tuple(sorted(node._replace(least_links=1) for node in self.nodes))
        self.bound = self.context.bound(self.frame, mask_of(self.nodes))
        return True

    def _option(self, depth: int) -> Option:
        slot = self.frame.order[depth]
        return self.context.problem.options[slot][self.chosen[depth].number]

    def _finish(self, weight: int) -> None:
        links = self._links(tuple(self.leaves))
        if links is None:
            return
        exact = weight + links.cents * self.context.aim.cents
        refund = 0 if self.nodes else self.branch.offset
        if exact - refund < self.context.pool.limit:
            self._offer(links)

    def _links(self, leaves: tuple[int, ...]) -> Links | None:
        if self.context.loose and self.nodes:
            return Links(0, (), ()) if _ports_reach(self.nodes, sum(leaves)) else None
        return self.context.problem.links.best(self.nodes, leaves)

    def _offer(self, links: Links) -> None:
        units: dict[int, Option] = {
            slot: self._option(depth) for depth, slot in enumerate(self.frame.order)
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
