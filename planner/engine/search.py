"""Best-first over switches, skeletons and places; below that a bounded descent over the units.

Exact: a branch is left only when its bound shows that nothing in it can enter the pool.
"""

import heapq
from collections.abc import Callable, Iterator
from typing import NamedTuple

from planner.engine.bounds import Bound, Nearest, nearest_links
from planner.engine.faults import SearchStoppedError
from planner.engine.frames import IMPOSSIBLE, Aim, Cutter, Frame
from planner.engine.links import Links, Node
from planner.engine.pools import Found, Pool, Single, weigh
from planner.engine.problem import LEAF, NODE, Option, Problem
from planner.engine.selections import Placed, Selection, mask_of, placements, selections
from planner.engine.skeletons import Demand, Shaper, Skeleton

_PATIENCE = 256


class Branch(NamedTuple):
    """A skeleton for some switches; `offset` is what the bound may have charged too much."""

    frame: Frame
    offset: int
    bridged: bool


class Search:
    """One search for one aim under one demand."""

    def __init__(
        self,
        problem: Problem,
        demand: Demand,
        aim: Aim,
        pool: Pool | Single,
        *,
        should_stop: Callable[[], bool] | None = None,
        allowed: Callable[[int, Option], bool] | None = None,
    ) -> None:
        self.problem = problem
        self.demand = demand
        self.aim = aim
        self.pool = pool
        self.should_stop = should_stop
        self.by_kind = isinstance(pool, Pool)
        self.loose = aim == Aim(0, 0, 0) and problem.all_linkable
        self.shaper = Shaper(problem, demand, _start(problem, demand, allowed))
        self.cutter = Cutter(
            problem, aim, by_kind=self.by_kind, limited_draw=demand.dc_limit_ma is not None
        )
        self.visits = 0
        self._frames: dict[Skeleton, Frame] = {}
        self._bounds: dict[tuple[Frame, int], Bound] = {}
        self._nearest: dict[int, Nearest] = {}

    def run(self) -> None:
        """Fill the pool; raises `SearchStoppedError` where the caller ends it."""
        if not all(self.shaper.start):
            return
        heap: list[tuple[int, int, int, Selection | Placed, Branch]] = []
        serial = 0
        for selection in self._selections():
            for branch in self._branches(selection):
                weight = selection.weight + branch.frame.least - branch.offset
                heap.append((weight, serial, 0, selection, branch))
                serial += 1
        heapq.heapify(heap)
        while heap and heap[0][0] < self.pool.limit:
            weight, _, stage, what, branch = heapq.heappop(heap)
            self._breathe()
            for bound, after in self._refine(weight, stage, what, branch):
                if bound < self.pool.limit:
                    serial += 1
                    heapq.heappush(heap, (bound, serial, stage + 1, after, branch))

    def _refine(
        self, weight: int, stage: int, what: Selection | Placed, branch: Branch
    ) -> Iterator[tuple[int, Selection | Placed]]:
        """The next, tighter look at one entry; the last look is the descent itself."""
        if isinstance(what, Placed):
            Descent(self, what, branch).run()
        elif stage == 0:
            yield max(weight, self._loose_bound(what, branch)), what
        else:
            for placed in placements(self.problem, what, loose=self.loose):
                yield max(weight, self._placed_bound(placed, branch)), placed

    def _breathe(self) -> None:
        if self.should_stop is not None and self.should_stop():
            raise SearchStoppedError

    def breathe_now_and_then(self) -> None:
        """Count a visit, and ask at every so many whether to go on."""
        self.visits += 1
        if not self.visits % _PATIENCE:
            self._breathe()

    def _selections(self) -> Iterator[Selection]:
        limit = self.demand.dc_limit_ma
        for selection in selections(
            self.problem,
            self.aim,
            self.shaper.sames,
            self.demand.max_new,
            by_kind=self.by_kind,
        ):
            if limit is None or selection.draw_ma <= limit:
                yield selection

    def _branches(self, selection: Selection) -> Iterator[Branch]:
        for skeleton in self.shaper.skeletons(selection.have, selection.releases):
            whole = [(skeleton, 0, False)]
            branches = whole if selection.count else self._switchless(skeleton)
            for shape, offset, bridged in branches:
                frame = self._frame(shape)
                if self._powered(selection.draw_ma + frame.draw_left[0]):
                    yield Branch(frame, offset, bridged)

    def _powered(self, draw_ma: int) -> bool:
        return self.demand.dc_limit_ma is None or draw_ma <= self.demand.dc_limit_ma

    def _switchless(self, skeleton: Skeleton) -> list[tuple[Skeleton, int, bool]]:
        """Without switches: two leaves at most, or some other unit that passes traffic on."""
        nodes = [
            sum(1 << n for n, option in enumerate(options) if option.link == NODE)
            for options in self.problem.options
        ]
        plain = tuple(d & ~m for d, m in zip(skeleton.domains, nodes, strict=True))
        found = []
        if all(plain):
            adapters = [o.adapter_cents for options in self.problem.options for o in options]
            offset = max(adapters, default=0) * self.aim.cents
            found.append((skeleton._replace(domains=plain), offset, False))
        if any(d & m for d, m in zip(skeleton.domains, nodes, strict=True)):
            offset = self.problem.wiring.dearest_cents() * self.aim.cents
            found.append((skeleton, offset, True))
        return found

    def _frame(self, skeleton: Skeleton) -> Frame:
        if skeleton not in self._frames:
            self._frames[skeleton] = Frame(self.problem, skeleton, self.cutter)
        return self._frames[skeleton]

    def bound(self, frame: Frame, places: int) -> Bound:
        """The bound of a frame for nodes at these places."""
        key = (frame, places)
        if key not in self._bounds:
            if places not in self._nearest:
                self._nearest[places] = nearest_links(self.problem.wiring, places, self.aim.cents)
            self._bounds[key] = Bound(frame, self._nearest[places])
        return self._bounds[key]

    def possible_places(self, frame: Frame, places: int) -> int:
        """The given node places and those of units that may yet pass traffic on."""
        for place in frame.node_places:
            places |= 1 << place
        return places

    def _loose_bound(self, selection: Selection, branch: Branch) -> int:
        places = mask_of(tuple(o.node for o in selection.switches if o.node))
        if selection.new:
            for place in self.problem.new_places:
                places |= 1 << place
        bound = self.bound(branch.frame, self.possible_places(branch.frame, places))
        rest = bound.rest(0, 0, selection.spread, 0)
        return selection.weight + rest - branch.offset

    def _placed_bound(self, placed: Placed, branch: Branch) -> int:
        places = self.possible_places(branch.frame, placed.places)
        bound = self.bound(branch.frame, places)
        selection = placed.selection
        joins = self.joining_weight(placed, branch.frame)
        return selection.weight + joins + bound.rest(0, 0, selection.spread, 0) - branch.offset

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


def _start(
    problem: Problem, demand: Demand, allowed: Callable[[int, Option], bool] | None
) -> tuple[int, ...]:
    found = []
    for i, options in enumerate(problem.options):
        mask = 0
        for n, option in enumerate(options):
            if option.choice.breaks & demand.requests:
                continue
            if allowed is None or allowed(i, option):
                mask |= 1 << n
        found.append(mask)
    return tuple(found)


class Descent:
    """Depth first over the slots of one frame, with the switches in their places."""

    def __init__(self, search: Search, placed: Placed, branch: Branch) -> None:
        self.search = search
        self.placed = placed
        self.frame = branch.frame
        self.bridged = branch.bridged
        self.chosen: list[int] = [0] * len(self.frame.order)
        self.nodes: list[Node] = []
        selection = placed.selection
        self.base = selection.weight - branch.offset
        if selection.count:
            self.base += search.joining_weight(placed, self.frame)
        limit = search.demand.dc_limit_ma
        self.power = IMPOSSIBLE if limit is None else limit - selection.draw_ma
        places = search.possible_places(self.frame, placed.places)
        self.bound = search.bound(self.frame, places)

    def run(self) -> None:
        """Offer every plan that can still enter the pool."""
        self._down(0, 0, self.placed.selection.spread, 0, self.base, self.power)

    def _down(self, depth: int, taken: int, room: int, counts: int, spent: int, power: int) -> None:
        frame = self.frame
        if depth == frame.first_leaf and depth and not self._all_nodes_known(room, counts, spent):
            return
        if depth == len(frame.order):
            self._finish()
            return
        self.search.breathe_now_and_then()
        if frame.fresh[depth]:
            taken = 0
        link = self.bound.link(depth, taken)
        power -= frame.draw_left[depth + 1]
        held = self.bound
        for row in frame.rows[depth]:
            after = frame.advance(counts, row.counted) if row.counted else counts
            if after < 0 or row.draw_ma > power:
                continue
            here = spent + row.weight + (link if row.link else 0)
            more = taken + (row.link == LEAF)
            ports = room + row.spread
            rest = held.rest(depth + 1, more, ports, after)
            if here + rest < self.search.pool.limit:
                self.chosen[depth] = row.number
                left = power - row.draw_ma + frame.draw_left[depth + 1]
                self._down(depth + 1, more, ports, after, here, left)
                self.bound = held

    def _all_nodes_known(self, room: int, counts: int, spent: int) -> bool:
        """Tighten the bound to the nodes chosen; False where that closes this branch."""
        nodes = self._chosen_nodes()
        if self.bridged and not nodes:
            return False
        places = self.placed.places | mask_of(tuple(nodes))
        self.bound = self.search.bound(self.frame, places)
        rest = self.bound.rest(self.frame.first_leaf, 0, room, counts)
        return spent + rest < self.search.pool.limit

    def _option(self, depth: int) -> Option:
        return self.search.problem.options[self.frame.order[depth]][self.chosen[depth]]

    def _chosen_nodes(self) -> list[Node]:
        options = (self._option(depth) for depth in range(self.frame.first_leaf))
        return [option.node for option in options if option.node]

    def _finish(self) -> None:
        problem = self.search.problem
        options = [self._option(depth) for depth in range(len(self.frame.order))]
        leaves = [0] * len(problem.wiring.price)
        lone = 0
        for option in options:
            if option.link == LEAF:
                leaves[option.location] += 1
                lone += not option.choice.model.ports
        nodes = tuple(sorted((*self.placed.nodes, *self._chosen_nodes())))
        count = sum(leaves) + len(nodes)
        if lone and count > 1:
            return
        links = self._links(nodes, tuple(leaves))
        if links is not None:
            self._offer(options, links)

    def _links(self, nodes: tuple[Node, ...], leaves: tuple[int, ...]) -> Links | None:
        if self.search.loose and nodes:
            return Links(0, (), ()) if _ports_reach(nodes, sum(leaves)) else None
        return self.search.problem.links.best(nodes, leaves)

    def _offer(self, options: list[Option], links: Links) -> None:
        units: list[Option] = list(options)
        for depth, option in enumerate(options):
            units[self.frame.order[depth]] = option
        weight = weigh(self.search.aim, tuple(units), self.placed, links)
        self.search.pool.offer(Found(weight, tuple(units), self.placed, links))


def _ports_reach(nodes: tuple[Node, ...], leaves: int) -> bool:
    """Whether a tree exists when every two locations can be joined any number of times."""
    ends = 2 * (len(nodes) - 1) + leaves
    if ends == 0:
        return nodes[0].least_links < 2
    return sum(n.least_links for n in nodes) <= ends <= sum(n.ports for n in nodes)
