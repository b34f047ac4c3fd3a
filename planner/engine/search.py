"""Best-first over switches, skeletons and places; below that a bounded descent over the units.

Exact: a branch is left only when its bound shows that nothing in it can enter the pool.
"""

import heapq
from collections.abc import Callable, Iterator

from planner.engine.context import Branch, Context
from planner.engine.descent import Descent
from planner.engine.faults import SearchStoppedError
from planner.engine.frames import Aim, Cutter, Frame
from planner.engine.gates import OPEN, Gate
from planner.engine.network import IMPOSSIBLE
from planner.engine.pools import Pool, Single
from planner.engine.problem import NODE, OFF, Option, Problem
from planner.engine.selections import Placed, Selection, mask_of, placements, selections
from planner.engine.skeletons import Demand, Shaper, Skeleton

Allowed = Callable[[int, Option], bool]
Start = tuple[int, ...]


def search(
    problem: Problem,
    demand: Demand,
    aim: Aim,
    pool: Pool | Single,
    *,
    should_stop: Callable[[], bool] | None = None,
    gate: Gate = OPEN,
) -> None:
    """Fill the pool; raises `SearchStoppedError` where the caller ends it.

    `gate` may rule out more than the demand does. Where the search is ended, the error's
    `bound` is a weight that nothing better than the pool's best can go below.
    """
    context = Context(problem, demand, aim, pool, should_stop, gate)
    start = _start(problem, demand, gate)
    starts = list(_starts(problem, start))
    for n, (first, within) in enumerate(starts):
        running = _Search(context, first, within)
        try:
            running.run()
        except SearchStoppedError as stopped:
            later = [_floor(problem, aim, one) for one, _ in starts[n + 1 :]]
            reached = max(running.reached, _floor(problem, aim, first))
            raise SearchStoppedError(min([reached, *later])) from stopped


def _starts(problem: Problem, start: Start) -> Iterator[tuple[Start, int | None]]:
    """The ways to begin: a network on one island of locations, or (None) one unit all alone."""
    ported = _sorted_out(problem, start, _has_port)
    # A boat without locations has no island, yet a plan: nothing is on no network.
    for island in problem.wiring.islands() or [0]:
        yield _ashore(problem, ported, island), island
    for i, (left, kept) in enumerate(zip(start, ported, strict=True)):
        if left != kept:
            lone = _lone_start(problem, start, i)
            if all(lone):
                yield lone, None


def _ashore(problem: Problem, start: Start, island: int) -> Start:
    """The options of a start that need no network beyond this island."""
    return _sorted_out(problem, start, lambda _, option: _stands_on(option, island))


def _stands_on(option: Option, island: int) -> bool:
    return option.link == OFF or bool(island >> option.location & 1)


def _floor(problem: Problem, aim: Aim, start: Start) -> int:
    """What the units alone must weigh: each its lightest option."""
    weights = [
        min(
            (aim.weigh(o) - o.adapter_cents * aim.cents for n, o in enumerate(options)
             if start[i] >> n & 1),
            default=IMPOSSIBLE,
        )
        for i, options in enumerate(problem.options)
    ]  # fmt: skip
    return sum(weights)


def _start(problem: Problem, demand: Demand, gate: Gate) -> Start:
    every = tuple((1 << len(options)) - 1 for options in problem.options)
    asked = _sorted_out(problem, every, lambda _, o: not o.choice.breaks & demand.requests)
    return _sorted_out(problem, asked, gate.unit) if gate.passes else asked


def _sorted_out(problem: Problem, start: Start, fits: Allowed) -> Start:
    """The options of a start that fit."""
    return tuple(
        sum(1 << n for n, o in enumerate(options) if start[i] >> n & 1 and fits(i, o))
        for i, options in enumerate(problem.options)
    )


def _has_port(_slot: int, option: Option) -> bool:
    return option.link == OFF or option.choice.model.ports > 0


def _lone_start(problem: Problem, start: Start, alone: int) -> Start:
    """One unit without any port as the whole network: the only way in which it can join."""
    return _sorted_out(
        problem,
        start,
        lambda i, o: not _has_port(i, o) if i == alone else o.link == OFF,
    )


class _Search:
    """The search from one start: the options left of each slot, as bit masks."""

    def __init__(self, context: Context, start: Start, within: int | None) -> None:
        self.context = context
        self.problem = context.problem
        self.aim = context.aim
        self.pool = context.pool
        self.within = within or 0
        self.by_kind = isinstance(context.pool, Pool)
        self.shaper = Shaper(context.problem, context.demand, start)
        limited = context.demand.dc_limit_ma is not None
        self.cutter = Cutter(
            context.problem, context.aim, by_kind=self.by_kind, limited_draw=limited
        )
        self.reached = 0
        self._frames: dict[Skeleton, Frame] = {}

    def run(self) -> None:
        """Fill the pool; raises `SearchStoppedError` where the caller ends it."""
        if not all(self.shaper.start):
            return
        heap: list[tuple[int, int, int, Selection | Placed, Branch]] = []
        serial = 0
        for selection in self._selections():
            for branch in self._branches(selection):
                weight = selection.weight + branch.frame.least - branch.offset
                heap.append((weight, 0, serial, selection, branch))
                serial += 1
        heapq.heapify(heap)
        while heap and heap[0][0] < self.pool.limit:
            weight, nearer, _, what, branch = heapq.heappop(heap)
            self.reached = weight
            self.context.breathe()
            for bound, after in self._refine(weight, -nearer, what, branch):
                if bound < self.pool.limit:
                    serial += 1
                    heapq.heappush(heap, (bound, nearer - 1, serial, after, branch))

    def _refine(
        self, weight: int, stage: int, what: Selection | Placed, branch: Branch
    ) -> Iterator[tuple[int, Selection | Placed]]:
        """The next, tighter look at one entry; the last look is the descent itself."""
        if isinstance(what, Placed):
            Descent(self.context, what, branch).run()
        elif stage == 0:
            yield max(weight, self._loose_bound(what, branch)), what
        else:
            gate = self.context.gate
            loose = self.context.loose and not gate.minds_places
            for placed in placements(self.problem, what, loose=loose):
                if placed.places & ~self.within or not gate.placed(placed):
                    continue
                yield max(weight, self._placed_bound(placed, branch)), placed

    def _selections(self) -> Iterator[Selection]:
        gate = self.context.gate
        for selection in selections(
            self.problem,
            self.aim,
            self.shaper.sames,
            self.context.demand.max_new,
            gate,
            by_kind=self.by_kind or gate.minds_models,
        ):
            self.context.visit()
            if not gate.selection(selection):
                continue
            if self.context.powered(selection.draw_ma) and self._inside(selection):
                yield selection

    def _inside(self, selection: Selection) -> bool:
        """Whether all networked switches can stand on the island; there is none for a lone unit."""
        if selection.new and not any(self.within >> p & 1 for p in self.problem.new_places):
            return False
        return all(_stands_on(option, self.within) for option in selection.switches)

    def _branches(self, selection: Selection) -> Iterator[Branch]:
        for skeleton in self.shaper.skeletons(selection.have, selection.releases):
            whole = [(skeleton, 0, False)]
            branches = whole if selection.networked else self._switchless(skeleton)
            for shape, offset, bridged in branches:
                frame = self._frame(shape)
                if self.context.powered(selection.draw_ma + frame.draw_left[0]):
                    yield Branch(frame, offset, bridged)

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

    def _loose_bound(self, selection: Selection, branch: Branch) -> int:
        places = mask_of(tuple(o.node for o in selection.switches if o.node))
        if selection.new:
            for place in self.problem.new_places:
                places |= 1 << place
        bound = self.context.bound(branch.frame, self.context.possible_places(branch.frame, places))
        rest = bound.rest(0, 0, selection.spread, 0)
        return selection.weight + rest - branch.offset

    def _placed_bound(self, placed: Placed, branch: Branch) -> int:
        places = self.context.possible_places(branch.frame, placed.places)
        bound = self.context.bound(branch.frame, places)
        selection = placed.selection
        joins = self.context.joining_weight(placed, branch.frame)
        return selection.weight + joins + bound.rest(0, 0, selection.spread, 0) - branch.offset
