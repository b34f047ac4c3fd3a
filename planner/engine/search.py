"""Best-first over switches, skeletons and places; below that a bounded descent over the units.

Exact: a branch is left only when its bound shows that nothing in it can enter the pool.
"""

import heapq
from collections.abc import Callable, Iterator

from planner.engine.context import Branch, Context
from planner.engine.descent import Descent
from planner.engine.frames import Aim, Cutter, Frame
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
    allowed: Allowed | None = None,
) -> None:
    """Fill the pool; raises `SearchStoppedError` where the caller ends it.

    `allowed(slot, option)` may rule out more options than the demand does.
    """
    context = Context(problem, demand, aim, pool, should_stop)
    start = _start(problem, demand, allowed)
    _Search(context, _sorted_out(problem, start, _has_port), alone=False).run()
    for i in range(len(start)):
        lone = _lone_start(problem, start, i)
        if all(lone):
            _Search(context, lone, alone=True).run()


def _start(problem: Problem, demand: Demand, allowed: Allowed | None) -> Start:
    every = tuple((1 << len(options)) - 1 for options in problem.options)
    asked = _sorted_out(problem, every, lambda _, o: not o.choice.breaks & demand.requests)
    return asked if allowed is None else _sorted_out(problem, asked, allowed)


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

    def __init__(self, context: Context, start: Start, *, alone: bool) -> None:
        self.context = context
        self.problem = context.problem
        self.aim = context.aim
        self.pool = context.pool
        self.alone = alone
        self.by_kind = isinstance(context.pool, Pool)
        self.shaper = Shaper(context.problem, context.demand, start)
        limited = context.demand.dc_limit_ma is not None
        self.cutter = Cutter(
            context.problem, context.aim, by_kind=self.by_kind, limited_draw=limited
        )
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
                heap.append((weight, serial, 0, selection, branch))
                serial += 1
        heapq.heapify(heap)
        while heap and heap[0][0] < self.pool.limit:
            weight, _, stage, what, branch = heapq.heappop(heap)
            self.context.breathe()
            for bound, after in self._refine(weight, stage, what, branch):
                if bound < self.pool.limit:
                    serial += 1
                    heapq.heappush(heap, (bound, serial, stage + 1, after, branch))

    def _refine(
        self, weight: int, stage: int, what: Selection | Placed, branch: Branch
    ) -> Iterator[tuple[int, Selection | Placed]]:
        """The next, tighter look at one entry; the last look is the descent itself."""
        if isinstance(what, Placed):
            Descent(self.context, what, branch).run()
        elif stage == 0:
            yield max(weight, self._loose_bound(what, branch)), what
        else:
            for placed in placements(self.problem, what, loose=self.context.loose):
                yield max(weight, self._placed_bound(placed, branch)), placed

    def _selections(self) -> Iterator[Selection]:
        for selection in selections(
            self.problem,
            self.aim,
            self.shaper.sames,
            self.context.demand.max_new,
            by_kind=self.by_kind,
        ):
            if self.context.powered(selection.draw_ma) and not (self.alone and selection.networked):
                yield selection

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
