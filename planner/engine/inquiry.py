"""Questions about one case, asked one after the other: cheapest with pins, and what forbids it.

Every plan found is remembered: a later question starts from the cheapest that answers it.
"""

from collections.abc import Callable, Sequence

from planner.engine.aims import Aims, full_demand
from planner.engine.conflict import Doubt
from planner.engine.pins import Pin, gate_of
from planner.engine.pools import Found, Single
from planner.engine.problem import Problem
from planner.engine.search import search
from planner.engine.smallest import smallest_conflict

_FEW = 40


class Inquiry:
    """A case to ask; raises `SearchStoppedError` where `should_stop` ends a search."""

    def __init__(self, problem: Problem, should_stop: Callable[[], bool] | None) -> None:
        self.problem = problem
        self.should_stop = should_stop
        self.demand = full_demand(problem.case)
        self.aim = Aims.of(problem).cheapest
        self.seen: list[Found] = []
        self._forbidders: dict[tuple[Pin | bool, ...], list[str]] = {}

    def cheapest(self, pins: Sequence[Pin] = ()) -> Found | None:
        """The cheapest plan that keeps the pins."""
        gate = gate_of(self.problem, pins)
        fitting = [found for found in self.seen if gate.lets(found.units, found.placed)]
        pool = Single(min(fitting, key=lambda found: found.weight, default=None))
        search(self.problem, self.demand, self.aim, pool, should_stop=self.should_stop, gate=gate)
        if pool.best is not None and pool.best not in fitting:
            self.seen.append(pool.best)
        return pool.best

    def forbidders(self, pins: Sequence[Pin], *, quickly: bool = False) -> list[str]:
        """The fewest statements, requests and limits that no plan with these pins meets.

        With `quickly` they are at least such that none can be left out, and the fewest where
        that takes few searches to prove.
        """
        key = (*pins, quickly)
        if key not in self._forbidders:
            doubt = Doubt(self.problem, self.should_stop, held=pins)
            core = doubt.minimal(doubt.every)
            most = doubt.asked + _FEW if quickly else None
            if len(core) > 1:
                core = smallest_conflict(doubt, most_asked=most) or core
            self._forbidders[key] = sorted(core)
        return self._forbidders[key]
