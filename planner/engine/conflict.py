"""Why no plan is right: one minimal conflict, and all minimal relaxations of at most two.

Everything asks one question, "is there a plan that keeps this set?", answered by the search and
remembered: a plan found settles every set that it keeps, a refusal every larger set.
"""

from collections.abc import Callable, Sequence
from typing import Any

from planner.engine.facts import DC_LIMIT, MAX_NEW
from planner.engine.faults import SearchStoppedError
from planner.engine.frames import Aim
from planner.engine.pins import Pin, gate_of, pin_name
from planner.engine.pools import Found, Single
from planner.engine.problem import Problem
from planner.engine.rules import broken_statements
from planner.engine.search import search
from planner.engine.skeletons import Demand

EXTRA_SWITCHES = 3


class Doubt:
    """The question for one case; sets are sets of ids of requests, statements, limits and pins.

    `held` are pins that never give way and have no ids.
    """

    def __init__(
        self,
        problem: Problem,
        should_stop: Callable[[], bool] | None,
        pins: Sequence[Pin] = (),
        held: Sequence[Pin] = (),
    ) -> None:
        self.problem = problem
        self.should_stop = should_stop
        self.held = tuple(held)
        self.asked = 0
        self.core: frozenset[str] | None = None
        self.pins = {pin_name(n): pin for n, pin in enumerate(pins)}
        case = problem.case
        self.requests = tuple(r.id for r in case.requests)
        self.statements = tuple(s.id for s in case.statements)
        rules = [s.id for s in case.statements if s.rule.verb != "before"]
        limits = [MAX_NEW] + ([DC_LIMIT] if case.dc_limit_ma is not None else [])
        self.every = frozenset((*self.requests, *rules, *limits, *self.pins))
        self._kept: list[frozenset[str]] = []
        self._refused: list[frozenset[str]] = []

    def possible(self, kept: frozenset[str]) -> bool:
        """Whether some plan keeps all of these."""
        return self.kept_with(kept) is not None

    def kept_with(self, kept: frozenset[str]) -> frozenset[str] | None:
        """All that some plan keeps which keeps these; None where there is no such plan."""
        for known in self._kept:
            if kept <= known:
                return known
        if any(kept >= known for known in self._refused):
            return None
        found = self._look(kept)
        if found is None:
            self._refused.append(kept)
            return None
        self._kept.append(self._keeps(found))
        return self._kept[-1]

    def _look(self, kept: frozenset[str]) -> Found | None:
        self.asked += 1
        case = self.problem.case
        demand = Demand(
            sum(1 << n for n, name in enumerate(self.requests) if name in kept),
            sum(1 << n for n, name in enumerate(self.statements) if name in kept),
            case.dc_limit_ma if DC_LIMIT in kept else None,
            case.max_new + (0 if MAX_NEW in kept else EXTRA_SWITCHES),
        )
        pool = Single()
        pins = [pin for name, pin in self.pins.items() if name in kept]
        gate = gate_of(self.problem, (*self.held, *pins))
        search(self.problem, demand, Aim(0, 0, 0), pool, should_stop=self.should_stop, gate=gate)
        return pool.best

    def _keeps(self, found: Found) -> frozenset[str]:
        """Everything that a plan keeps, asked for or not."""
        case = self.problem.case
        selection = found.placed.selection
        options = (*found.units, *selection.switches, *selection.new)
        breaks = 0
        for option in found.units:
            breaks |= option.choice.breaks
        lost = {name for n, name in enumerate(self.requests) if breaks >> n & 1}
        stands = [option.stand for option in options if option.choice.networked]
        lost |= {self.statements[n] for n in broken_statements(self.problem.book, stands)}
        draw_ma = sum(option.draw_ma for option in options)
        if case.dc_limit_ma is not None and draw_ma > case.dc_limit_ma:
            lost.add(DC_LIMIT)
        if len(selection.new) > case.max_new:
            lost.add(MAX_NEW)
        lost |= {
            name
            for name, pin in self.pins.items()
            if not gate_of(self.problem, [pin]).lets(found.units, found.placed)
        }
        return self.every - lost

    def minimal(self, start: frozenset[str]) -> frozenset[str]:
        """A smallest-by-inclusion part of `start` that no plan keeps; `start` is kept by none."""
        core = start
        for known in self._refused:
            if known <= start and len(known) < len(core):
                core = known
        # More switches make the dearest question, and the cheapest once little else is kept.
        for name in sorted(core, key=lambda name: (name == MAX_NEW, name)):
            self.core = core
            if not self.possible(core - {name}):
                core = core - {name}
        self._refused.append(core)
        self.core = core
        return core

    def relaxations(self, core: frozenset[str]) -> list[list[str]]:
        """Every minimal set of at most two whose dropping leaves a right plan."""
        singles = [name for name in sorted(core) if self.possible(self.every - {name})]
        pairs: set[tuple[str, ...]] = set()
        for name in sorted(core - set(singles)):
            without = self.every - {name}
            for other in sorted(self.minimal(without) - set(singles)):
                if self.possible(without - {other}):
                    pairs.add(tuple(sorted((name, other))))
        return sorted([[name] for name in singles] + [list(pair) for pair in pairs])


def explain_refusal(
    problem: Problem, should_stop: Callable[[], bool] | None, pins: Sequence[Pin] = ()
) -> dict[str, Any]:
    """The conflict and the relaxations of a case that no plan meets.

    Where the search was ended: a conflict of which some could perhaps be left out, null for the
    relaxations, and `proven` false.
    """
    doubt = Doubt(problem, should_stop, pins)
    core = doubt.every
    try:
        core = doubt.minimal(doubt.every)
        return {"conflict": sorted(core), "relaxations": doubt.relaxations(core)}
    except SearchStoppedError:
        core = core if doubt.core is None or len(core) < len(doubt.core) else doubt.core
        return {"conflict": sorted(core), "relaxations": None, "proven": False}
