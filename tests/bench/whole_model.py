"""One whole-problem CP-SAT model of a case: the yardstick that the engine is measured against.

Every choice of every unit, every switch at every place, every possible link and every statement
stand in one model; each strategy, option and way out is one solve of it. Needs ortools.
"""

from itertools import combinations, pairwise
from typing import Any

from ortools.sat.python import cp_model

from planner.engine.answer import Keeping
from planner.engine.choices import ABSENT, STAYS
from planner.engine.conflict import EXTRA_SWITCHES
from planner.engine.facts import DC_LIMIT, MAX_NEW, Case
from planner.engine.network import lay_out
from planner.engine.problem import Problem
from planner.engine.reading import read_case

Answer = dict[str, Any]
WORKERS = 1  # quicker than several on cases of this size
_DONE = (cp_model.OPTIMAL, cp_model.INFEASIBLE)


def model_answer(case: Answer, options: int = 5) -> Answer:
    """The values of an answer: strategies as pairs, options as totals, or the ways out."""
    problem = Problem(read_case(case))
    whole = WholeModel(problem)
    cheapest = whole.least(("total", "changes"))
    if cheapest is None:
        loose = WholeModel(problem, giving_way=True)
        return {"feasible": False, "relaxations": loose.relaxations(), "conflict": loose.conflict()}
    kinds = WholeModel(problem)
    return {
        "feasible": True,
        "strategies": {
            "cheapest": cheapest,
            "keep_all": WholeModel(problem, keep_all=True).least(("total", "changes")),
            "fewest_changes": whole.least(("changes", "total")),
            "newest": whole.least(("behind", "total")),
        },
        "options": kinds.kinds(options),
    }


class _Node:
    """A unit at a place: the literals of its options, and its links."""

    def __init__(self, place: int, literals: list[tuple[Any, Any]]) -> None:
        self.place = place
        self.literals = literals
        self.ends: list[Any] = []

    def joined(self) -> Any:
        """1 where it is networked."""
        return sum(lit for lit, choice in self.literals if choice.networked)


class WholeModel:
    """The model with its measures; `giving_way` lets wishes, statements and limits be dropped."""

    def __init__(
        self, problem: Problem, *, keep_all: bool = False, giving_way: bool = False
    ) -> None:
        self.problem = problem
        self.case: Case = problem.case
        self.wiring = lay_out(self.case)
        self.cp = cp_model.CpModel()
        self.dropped: dict[str, Any] = {}
        self.giving_way = giving_way
        self.nodes: list[_Node] = []
        self.all: list[tuple[Any, Any]] = []
        self.units: list[list[tuple[Any, Any]]] = []
        self._add_units(keep_all)
        self._add_new()
        self._add_wishes()
        self._add_statements()
        self.link_cents = self._add_links()
        rate = self.case.rates.labour_cents_per_minute
        self.measures = {
            "total": self.link_cents
            + sum(
                lit * (c.parts_cents + c.minutes * rate + c.penalty_cents) for lit, c in self.all
            ),
            "changes": sum(lit * c.changes for lit, c in self.all),
            "behind": sum(lit * c.behind for lit, c in self.all if c.networked),
        }

    # -- what there is ---------------------------------------------------------------------

    def _literals(self, options: Any) -> list[tuple[Any, Any]]:
        found = [(self.cp.new_bool_var(""), option.choice) for option in options]
        self.all += found
        return found

    def _add_units(self, keep_all: bool) -> None:
        keeping = Keeping(self.problem)
        problem = self.problem
        for n, options in enumerate((*problem.options, *problem.switch_options)):
            literals = self._literals(options)
            self.cp.add_exactly_one(lit for lit, _ in literals)
            if n < len(problem.options):
                self.units.append(literals)
                for (lit, _), option in zip(literals, options, strict=True):
                    if keep_all and not keeping.unit(n, option):
                        self.cp.add(lit == 0)
            self.nodes.append(_Node(options[0].location, literals))

    def _add_new(self) -> None:
        most = self.case.max_new + (EXTRA_SWITCHES if self.giving_way else 0)
        used = []
        for _ in range(most):
            here: list[Any] = []
            for place in self.problem.new_places:
                literals = self._literals(self.problem.new_options)
                self.nodes.append(_Node(place, literals))
                here += [lit for lit, _ in literals]
            self.cp.add_at_most_one(here)
            used.append(sum(here))
        for before, after in pairwise(used):
            self.cp.add(before >= after)
        if self.giving_way and used:
            extra = EXTRA_SWITCHES * self._drop(MAX_NEW)
            self.cp.add(sum(used) <= self.case.max_new + extra)

    def _drop(self, name: str) -> Any:
        """0 where this must hold; a literal where it may be dropped."""
        if not self.giving_way:
            return 0
        if name not in self.dropped:
            self.dropped[name] = self.cp.new_bool_var(name)
        return self.dropped[name]

    def _add_wishes(self) -> None:
        for n, request in enumerate(self.case.requests):
            breaking = [lit for literals in self.units for lit, c in literals if c.breaks >> n & 1]
            for lit in breaking:
                self.cp.add(lit <= self._drop(request.id))
        if self.case.dc_limit_ma is not None:
            draw = sum(lit * c.model.draw_ma for lit, c in self.all if c.aboard)
            most = sum(c.model.draw_ma for _, c in self.all)
            self.cp.add(draw <= self.case.dc_limit_ma + most * self._drop(DC_LIMIT))
        if self.giving_way:
            self._drop(MAX_NEW)

    # -- statements ------------------------------------------------------------------------

    def _matching(self, selector: Any) -> list[tuple[Any, Any]]:
        return [
            (lit, c)
            for lit, c in self.all
            if c.networked and c.fate != ABSENT and selector.matches(c.model, c.release)
        ]

    def _add_statements(self) -> None:
        for statement in self.case.statements:
            rule = statement.rule
            if rule.verb == "before":
                continue
            drop = self._drop(statement.id)
            if rule.verb == "same_release":
                self._add_same(rule, drop)
                continue
            count = self._count(rule)
            most = len(self.all) + rule.count
            for when in [1] if rule.when is None else [lit for lit, _ in self._matching(rule.when)]:
                slack = most * (1 - when) + most * drop
                if rule.verb == "at_least":
                    self.cp.add(count >= rule.count - slack)
                else:
                    self.cp.add(count <= rule.count + slack)

    def _count(self, rule: Any) -> Any:
        if rule.verb != "only":
            return sum(lit for lit, _ in self._matching(rule.of))
        return sum(
            lit for lit, c in self._matching(rule.of) if not rule.target.matches(c.model, c.release)
        )

    def _add_same(self, rule: Any, drop: Any) -> None:
        by_text: dict[str, Any] = {}
        for lit, c in self._matching(rule.of):
            if c.release is not None:
                if c.release not in by_text:
                    by_text[c.release] = self.cp.new_bool_var("")
                self.cp.add(lit <= by_text[c.release] + drop)
        self.cp.add(sum(by_text.values()) <= 1)

    # -- links -----------------------------------------------------------------------------

    def _add_links(self) -> Any:
        pairs: dict[tuple[int, int], list[Any]] = {}
        arcs = []
        for one, two in combinations(range(len(self.nodes)), 2):
            a, b = self.nodes[one].place, self.nodes[two].place
            if self.wiring.free[a][b] == 0 and self.wiring.price[a][b] is None:
                continue
            forth, back = self.cp.new_bool_var(""), self.cp.new_bool_var("")
            self.cp.add_at_most_one([forth, back])
            for node in (self.nodes[one], self.nodes[two]):
                node.ends += [forth, back]
            pairs.setdefault((min(a, b), max(a, b)), []).extend([forth, back])
            arcs += [(one, two, forth), (two, one, back)]
        self._add_tree(arcs)
        return self._cable_cents(pairs) + sum(self._add_ports(node) for node in self.nodes)

    def _add_tree(self, arcs: list[tuple[int, int, Any]]) -> None:
        """Every networked unit but one root has one link towards the root; levels forbid loops."""
        size = len(self.nodes)
        roots = [self.cp.new_bool_var("") for _ in range(size)]
        level = [self.cp.new_int_var(0, size - 1, "") for _ in range(size)]
        self.cp.add_at_most_one(roots)
        for n, node in enumerate(self.nodes):
            parents = [lit for start, _, lit in arcs if start == n]
            self.cp.add(sum(parents) + roots[n] == node.joined())
        for start, end, lit in arcs:
            self.cp.add(level[start] == level[end] + 1).only_enforce_if(lit)
            self.cp.add(lit <= self.nodes[end].joined())

    def _add_ports(self, node: _Node) -> Any:
        """The limits on this unit's links; gives the cents of its adapters."""
        links = sum(node.ends)
        size = len(self.nodes)
        allowed, least, cents = 0, 0, 0
        for lit, c in node.literals:
            if not c.networked:
                continue
            allowed += lit * (c.model.ports if c.model.bridges else min(1, c.model.ports))
            least += lit * (2 if c.model.kind == "switch" else 0)
            if c.model.adapter is not None:
                there = c.adapters if c.fate == STAYS else 0
                bought = self.cp.new_int_var(0, size, "")
                self.cp.add(bought >= links - there - size * (1 - lit))
                cents += bought * self.case.adapters[c.model.adapter]
        self.cp.add(links <= allowed)
        self.cp.add(links >= least)
        return cents

    def _cable_cents(self, pairs: dict[tuple[int, int], list[Any]]) -> Any:
        cents = 0
        for (a, b), links in pairs.items():
            free, price = self.wiring.free[a][b], self.wiring.price[a][b]
            if price is None:
                self.cp.add(sum(links) <= free)
                continue
            bought = self.cp.new_int_var(0, len(self.nodes), "")
            self.cp.add(bought >= sum(links) - free)
            cents += bought * price
        return cents

    # -- questions -------------------------------------------------------------------------

    def _solve(self, goal: Any) -> cp_model.CpSolver | None:
        self.cp.clear_objective()
        if goal is not None:
            self.cp.minimize(goal)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = WORKERS
        status = solver.solve(self.cp)
        if status not in _DONE:
            raise AssertionError(solver.status_name(status))
        return solver if status == cp_model.OPTIMAL else None

    def least(self, order: tuple[str, str]) -> tuple[int, int] | None:
        """The least of one measure, then of another."""
        first, then = (self.measures[name] for name in order)
        solver = self._solve(first)
        if solver is None:
            return None
        best = solver.value(first)
        held = self.cp.new_bool_var("")
        self.cp.add(first <= best).only_enforce_if(held)
        self.cp.add_assumption(held)
        solver = self._solve(then)
        self.cp.clear_assumptions()
        if solver is None:
            raise AssertionError("the best of the first measure is gone")
        return best, solver.value(then)

    def kinds(self, count: int) -> list[int]:
        """The totals of the cheapest plans that differ in kind."""
        traits = self._traits()
        totals: list[int] = []
        while len(totals) < count:
            solver = self._solve(self.measures["total"])
            if solver is None:
                break
            totals.append(solver.value(self.measures["total"]))
            self.cp.add_bool_or([lit.negated() for lit in traits if solver.value(lit)])
        return totals

    def _traits(self) -> list[Any]:
        """Literals of which exactly the same are true in plans of one kind."""
        traits = []
        for literals in self.units:
            groups: dict[tuple[Any, ...], list[Any]] = {}
            for lit, c in literals:
                groups.setdefault((c.fate, c.model.id, c.networked), []).append(lit)
            for group in groups.values():
                trait = self.cp.new_bool_var("")
                self.cp.add(sum(group) == trait)
                traits.append(trait)
        models: dict[str, list[Any]] = {}
        for lit, c in self.all:
            if c.networked and c.model.kind == "switch":
                models.setdefault(c.model.id, []).append(lit)
        for group in models.values():
            numbers = [self.cp.new_bool_var("") for _ in range(len(self.nodes) + 1)]
            self.cp.add_exactly_one(numbers)
            self.cp.add(sum(n * lit for n, lit in enumerate(numbers)) == sum(group))
            traits += numbers
        return traits

    def relaxations(self) -> list[list[str]]:
        """All minimal sets of at most two that free the case; uses the model up."""
        found: list[list[str]] = []
        drops = sum(self.dropped.values())
        self.cp.add(drops <= 2)
        while (solver := self._solve(drops)) is not None:
            names = sorted(name for name, lit in self.dropped.items() if solver.value(lit))
            found.append(names)
            self.cp.add_bool_or([self.dropped[name].negated() for name in names])
        return sorted(found)

    def conflict(self) -> list[str]:
        """A minimal conflict, by leaving out one after the other."""
        core = sorted(self.dropped)
        for name in list(core):
            rest = [one for one in core if one != name]
            fresh = WholeModel(self.problem, giving_way=True)
            for one in rest:
                fresh.cp.add(fresh.dropped[one] == 0)
            if fresh._solve(None) is None:
                core = rest
        return core
