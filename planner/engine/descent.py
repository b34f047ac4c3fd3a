"""Depth first over the units that may pass traffic on; each way to settle them is then filled
with leaves.
"""

from planner.engine.context import Branch, Context
from planner.engine.frames import Row
from planner.engine.leafing import Leafing, State, after_row
from planner.engine.network import IMPOSSIBLE
from planner.engine.problem import LEAF, NODE
from planner.engine.selections import Placed


class Descent:
    """Depth first over the bridging slots of one frame, with the switches in their places."""

    def __init__(self, context: Context, placed: Placed, branch: Branch) -> None:
        self.context = context
        self.placed = placed
        self.branch = branch
        self.frame = branch.frame
        self.chosen: list[Row] = []
        self.leaves = [0] * len(context.problem.wiring.price)
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
        state = State(0, selection.spread, 0, spent, selection.weight, power)
        self._down(0, self.placed.places, state)

    def _down(self, depth: int, spots: int, state: State) -> None:
        if depth == self.frame.first_leaf:
            self._leaf_phase(state)
            return
        self.context.visit()
        held, limit = self.bound, self.context.pool
        link = held.link(depth, 0)
        for row in self.frame.rows[depth]:
            after = after_row(self.frame, depth, state, row, link)
            if after is None:
                continue
            rest = held.rest(depth + 1, after.taken, after.room, after.counts)
            if rest < IMPOSSIBLE and after.spent + rest < limit.limit:
                self._take(depth, spots, row, after)

    def _take(self, depth: int, spots: int, row: Row, after: State) -> None:
        place = self.frame.places[depth]
        if row.link == NODE:
            spots |= 1 << place
        if not self.context.joinable(spots, self.frame.later_places[depth + 1]):
            return
        leaf = row.link == LEAF
        self.chosen.append(row)
        self.leaves[place] += leaf
        self._down(depth + 1, spots, after)
        self.leaves[place] -= leaf
        self.chosen.pop()

    def _leaf_phase(self, state: State) -> None:
        problem, order = self.context.problem, self.frame.order
        chosen = [
            node
            for depth, row in enumerate(self.chosen)
            if (node := problem.options[order[depth]][row.number].node)
        ]
        if self.branch.bridged and not chosen:
            return
        nodes = tuple(sorted((*self.placed.nodes, *chosen)))
        Leafing(self.context, self.placed, self.branch, nodes, self.chosen, self.leaves).run(state)
