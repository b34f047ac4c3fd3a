"""The answer to a case: four strategies and the options, or the conflict and its ways out."""

from collections.abc import Callable
from typing import Any

from planner.engine.choices import REMOVED, STAYS
from planner.engine.conflict import explain_refusal
from planner.engine.facts import Case, Device
from planner.engine.faults import SearchStoppedError
from planner.engine.frames import Aim
from planner.engine.plans import plan_of
from planner.engine.pools import Found, Pool, Single, reweigh
from planner.engine.problem import Option, Problem
from planner.engine.reading import read_case
from planner.engine.search import search
from planner.engine.skeletons import Demand

Stop = Callable[[], bool] | None


def answer_case(
    case: dict[str, Any], *, options: int = 5, should_stop: Stop = None
) -> dict[str, Any]:
    """Answer a case exactly.

    Raises `CaseFault` where the case cannot be read. Where `should_stop` ended the search the
    answer says `"proven": False` and holds the best that was found (null where nothing was).
    """
    return Answering(Problem(read_case(case)), options, should_stop).answer()


class Answering:
    """The searches behind one answer; later ones start from what earlier ones found."""

    def __init__(self, problem: Problem, options: int, should_stop: Stop) -> None:
        self.problem = problem
        self.options = options
        self.should_stop = should_stop
        self.proven = True
        case = problem.case
        self.demand = Demand(
            (1 << len(case.requests)) - 1,
            (1 << len(case.statements)) - 1,
            case.dc_limit_ma,
            case.max_new,
        )
        most_changes = len(problem.slots) + len(problem.switch_slots) + case.max_new + 1
        most_cents = _most_cents(problem)
        self.cheapest = Aim(most_changes, 1, 0)
        self.fewest = Aim(1, most_cents, 0)
        self.newest = Aim(1, 0, most_cents)

    def answer(self) -> dict[str, Any]:
        """Search for everything and write it down."""
        pool = Pool(max(1, self.options))
        self._search(self.cheapest, pool)
        ranked = pool.ranked()
        if not ranked:
            return self._refusal()
        strategies = {
            "cheapest": ranked[0],
            "keep_all": self._keep_all(ranked),
            "fewest_changes": self._best(self.fewest, ranked),
            "newest": self._best(self.newest, ranked),
        }
        answer: dict[str, Any] = {
            "feasible": True,
            "strategies": {name: self._written(found) for name, found in strategies.items()},
            "options": [plan_of(self.problem, found) for found in ranked[: self.options]],
        }
        if not self.proven:
            answer["proven"] = False
        return answer

    def _written(self, found: Found | None) -> dict[str, Any] | None:
        return None if found is None else plan_of(self.problem, found)

    def _search(
        self,
        aim: Aim,
        pool: Pool | Single,
        allowed: Callable[[int, Option], bool] | None = None,
    ) -> None:
        try:
            search(
                self.problem,
                self.demand,
                aim,
                pool,
                should_stop=self.should_stop,
                allowed=allowed,
            )
        except SearchStoppedError:
            self.proven = False

    def _best(self, aim: Aim, ranked: list[Found]) -> Found | None:
        start = min((reweigh(found, aim) for found in ranked), key=lambda found: found.weight)
        pool = Single(start)
        self._search(aim, pool)
        return pool.best

    def _keep_all(self, ranked: list[Found]) -> Found | None:
        keeping = Keeping(self.problem)
        for found in ranked:
            if all(keeping.allows(i, option) for i, option in enumerate(found.units)):
                return found
        pool = Single()
        self._search(self.cheapest, pool, keeping.allows)
        return pool.best

    def _refusal(self) -> dict[str, Any]:
        unknown: dict[str, Any] = {
            "feasible": None,
            "strategies": None,
            "options": [],
            "proven": False,
        }
        if not self.proven:
            return unknown
        try:
            conflict, relaxations = explain_refusal(self.problem, self.should_stop)
        except SearchStoppedError:
            return {"feasible": False, "conflict": None, "relaxations": None, "proven": False}
        return {"feasible": False, "conflict": conflict, "relaxations": relaxations}


class Keeping:
    """The options in which an existing unit is left on its network and in its place."""

    def __init__(self, problem: Problem) -> None:
        self.slots = problem.slots
        requests = problem.case.requests
        self.removed = {r.device for r in requests if r.verb == "remove"}
        self.replaced = {r.device for r in requests if r.verb == "replace"}

    def allows(self, slot: int, option: Option) -> bool:
        """Whether `keep_all` lets this slot take this option."""
        device: Device | None = self.slots[slot].device
        if device is None:
            return True
        choice = option.choice
        if choice.fate == REMOVED:
            return device.id in self.removed
        if choice.fate != STAYS and device.id not in self.replaced:
            return False
        return choice.networked or not device.networked


def _most_cents(problem: Problem) -> int:
    """More than any plan can cost."""
    case: Case = problem.case
    adapter = max(case.adapters.values(), default=0)
    link = problem.wiring.dearest_cents() + 2 * adapter
    lists = (*problem.options, *problem.switch_options)
    total = sum(max(o.cents for o in options) for options in lists if options)
    new = max((o.cents for o in problem.new_options), default=0)
    return 1 + total + case.max_new * (new + link) + len(lists) * link
