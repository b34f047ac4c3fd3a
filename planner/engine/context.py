"""What the stages of one search share: the aim, the pool, and the bounds worked out so far."""

from collections.abc import Callable
from typing import NamedTuple

from planner.engine.bounds import Bound
from planner.engine.faults import SearchStoppedError
from planner.engine.frames import Aim, Frame
from planner.engine.gates import Gate
from planner.engine.links import Links
from planner.engine.network import IMPOSSIBLE
from planner.engine.nodes import Margins, Node, link_margins
from planner.engine.pools import Pool, Single
from planner.engine.pricing import Prices
from planner.engine.problem import Problem
from planner.engine.selections import Placed
from planner.engine.skeletons import Demand

_PATIENCE = 256


class Branch(NamedTuple):
    """A skeleton for some switches; `offset` is what the bound may have charged too much."""

    frame: Frame
    offset: int
    bridged: bool


class Context:
    """One search for one aim under one demand."""

    def __init__(
        self,
        problem: Problem,
        demand: Demand,
        aim: Aim,
        pool: Pool | Single,
        should_stop: Callable[[], bool] | None,
        gate: Gate,
    ) -> None:
        self.problem = problem
        self.demand = demand
        self.aim = aim
        self.pool = pool
        self.should_stop = should_stop
        self.gate = gate
        self.loose_aim = aim == Aim(0, 0, 0)
        self.loose = self.loose_aim and problem.all_linkable
        self.visits = 0
        problem.links.ground.breathe = self.breathe
        self._bounds: dict[tuple[Frame, int], Bound] = {}
        self._margins: dict[int, Margins] = {}
        self.prices: dict[int, Prices] = {}
        self._joinable: dict[tuple[int, int], bool] = {}

    def breathe(self) -> None:
        """Ask the caller whether to go on; raises `SearchStoppedError` where not."""
        if self.should_stop is not None and self.should_stop():
            raise SearchStoppedError

    def visit(self) -> None:
        """Count a visit, and breathe at every so many."""
        self.visits += 1
        if not self.visits % _PATIENCE:
            self.breathe()

    def powered(self, draw_ma: int) -> bool:
        """Whether this current is within the limit."""
        return self.demand.dc_limit_ma is None or draw_ma <= self.demand.dc_limit_ma

    def bound(self, frame: Frame, places: int) -> Bound:
        """The bound of a frame for nodes at these places."""
        key = (frame, places)
        if key not in self._bounds:
            if places not in self._margins:
                self._margins[places] = link_margins(self.problem.wiring, places, self.aim.cents)
            self._bounds[key] = Bound(frame, self._margins[places])
        return self._bounds[key]

    def tree(self, nodes: tuple[Node, ...], leaves: tuple[int, ...], weight: int) -> Links | None:
        """The cheapest tree, or any where cents weigh nothing; None where it cannot enter the
        pool together with what else weighs `weight`.
        """
        links, cents = self.problem.links, self.aim.cents
        if not cents:
            return links.some(nodes, leaves)
        return links.best(nodes, leaves, -((weight - self.pool.limit) // cents))

    def possible_places(self, frame: Frame, places: int) -> int:
        """The given node places and those of units that may yet pass traffic on."""
        for place in frame.node_places:
            places |= 1 << place
        return places

    def joinable(self, places: int, later: int) -> bool:
        """Whether nodes at these places can be joined, others at `later` places helping (bits)."""
        key = (places, later)
        if key not in self._joinable:
            reached = self.problem.wiring.reached(places & -places, places | later)
            self._joinable[key] = not places & ~reached
        return self._joinable[key]

    def joining_weight(self, placed: Placed, frame: Frame) -> int:
        """The least weight of joining the switches: each but one has a link to another node."""
        charges = []
        for n, node in enumerate(placed.nodes):
            reach = [other.location for m, other in enumerate(placed.nodes) if m != n]
            reach += frame.node_places
            if not reach:
                return 0
            cents = self._nearest_cents(node.location, reach)
            if cents is None:
                return IMPOSSIBLE
            charges.append(cents)
        return (sum(charges) - max(charges, default=0)) * self.aim.cents

    def _nearest_cents(self, place: int, reach: list[int]) -> int | None:
        wiring = self.problem.wiring
        if any(wiring.free[place][other] for other in reach):
            return 0
        prices = [wiring.price[place][other] for other in reach]
        return min((cents for cents in prices if cents is not None), default=None)
