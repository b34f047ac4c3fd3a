"""The answer to a case: four strategies and the options, or the conflict and its ways out."""

from collections.abc import Callable, Sequence
from typing import Any

from planner.engine.aims import Aims, full_demand
from planner.engine.choices import REMOVED, STAYS
from planner.engine.conflict import explain_refusal
from planner.engine.facts import Device
from planner.engine.faults import SearchStoppedError
from planner.engine.frames import Aim
from planner.engine.gates import Gate, Pass
from planner.engine.pins import Pin, allow_swaps, gate_of, read_pins
from planner.engine.plans import plan_of
from planner.engine.pools import Found, Pool, Single, reweigh
from planner.engine.problem import Option, Problem
from planner.engine.reading import read_case
from planner.engine.search import search

Stop = Callable[[], bool] | None
MEASURES = {
    "cheapest": "total_cents",
    "keep_all": "total_cents",
    "fewest_changes": "changes",
    "newest": "behind",
}


def answer_case(
    case: dict[str, Any], *, options: int = 5, should_stop: Stop = None
) -> dict[str, Any]:
    """Answer a case exactly.

    Raises `CaseFault` where the case cannot be read. Where `should_stop` ended the search the
    answer says `"proven": False`, holds the best that was found (`feasible` null where nothing
    was) and, under `bounds`, how far from the best each strategy can be at most; each strategy's
    plan then carries its `proven`, `bound` and `gap` too.
    """
    return Answering(Problem(read_case(case)), options, should_stop).answer()


def plan_with(
    case: dict[str, Any], pins: Sequence[Any], *, options: int = 5, should_stop: Stop = None
) -> dict[str, Any]:
    """Answer a case whose plans must also keep the pins; see `pins` for their shapes.

    The answer has the shape that `answer_case` gives; where nothing is right, pins stand in
    `conflict` and `relaxations` as `pin-1`, `pin-2` ... in the order given. Raises `CaseFault`
    with a path under `$.pins` for a pin that cannot be read.
    """
    facts = read_case(case)
    read = read_pins(facts, pins)
    problem = Problem(allow_swaps(facts, read))
    return Answering(problem, options, should_stop, read).answer()


class Answering:
    """The searches behind one answer; later ones start from what earlier ones found."""

    def __init__(
        self, problem: Problem, options: int, should_stop: Stop, pins: Sequence[Pin] = ()
    ) -> None:
        self.problem = problem
        self.options = options
        self.should_stop = should_stop
        self.pins = tuple(pins)
        self.gate = gate_of(problem, pins)
        self.demand = full_demand(problem.case)
        self.aims = Aims.of(problem)
        self.bounds: dict[str, int | None] = {}

    def answer(self) -> dict[str, Any]:
        """Search for everything and write it down."""
        pool = Pool(max(1, self.options))
        bound = self._search(self.aims.cheapest, pool, self.gate)
        ranked = pool.ranked()
        if not ranked:
            return self._refusal(bound)
        done = bound is None or bound >= ranked[0].weight
        self.bounds["cheapest"] = None if done else bound
        strategies = {
            "cheapest": ranked[0],
            "keep_all": self._keep_all(ranked, bound),
            "fewest_changes": self._best("fewest_changes", self.aims.fewest, ranked),
            "newest": self._best("newest", self.aims.newest, ranked),
        }
        answer: dict[str, Any] = {
            "feasible": True,
            "strategies": {name: self._written(found) for name, found in strategies.items()},
            "options": [plan_of(self.problem, found) for found in ranked[: self.options]],
        }
        if bound is not None or any(one is not None for one in self.bounds.values()):
            self._say_unproven(answer)
        return answer

    def _say_unproven(self, answer: dict[str, Any]) -> None:
        answer["proven"] = False
        answer["bounds"] = {
            name: self._bound_of(name, answer["strategies"][name]) for name in MEASURES
        }
        for name, plan in answer["strategies"].items():
            if plan is not None:
                plan.update(answer["bounds"][name])

    def _bound_of(self, name: str, plan: dict[str, Any] | None) -> dict[str, Any]:
        """How far a strategy is proven, in the first measure that it makes least."""
        value = None if plan is None else plan[MEASURES[name]]
        weight = self.bounds.get(name)
        if weight is None:
            return {"proven": True, "bound": value, "gap": None if value is None else 0}
        bound = weight // self.aims.scale(name)
        if value is None:
            return {"proven": False, "bound": bound, "gap": None}
        bound = min(bound, value)
        return {"proven": False, "bound": bound, "gap": value - bound}

    def _written(self, found: Found | None) -> dict[str, Any] | None:
        return None if found is None else plan_of(self.problem, found)

    def _search(self, aim: Aim, pool: Pool | Single, gate: Gate) -> int | None:
        """None where all was searched, else a weight that no plan goes below."""
        try:
            search(self.problem, self.demand, aim, pool, should_stop=self.should_stop, gate=gate)
        except SearchStoppedError as stopped:
            return stopped.bound
        return None

    def _best(self, name: str, aim: Aim, ranked: list[Found]) -> Found | None:
        start = min((reweigh(found, aim) for found in ranked), key=lambda found: found.weight)
        pool = Single(start)
        self.bounds[name] = self._search(aim, pool, self.gate)
        return pool.best

    def _keep_all(self, ranked: list[Found], bound: int | None) -> Found | None:
        """The best that keeps all; one of the ranked where nothing below it is unseen."""
        keeping = Keeping(self.problem)
        kept = [f for f in ranked if all(keeping.unit(i, o) for i, o in enumerate(f.units))]
        if kept and (bound is None or bound >= kept[0].weight):
            return kept[0]
        pool = Single(kept[0] if kept else None)
        gate = Gate((*self.gate.passes, keeping))
        self.bounds["keep_all"] = self._search(self.aims.cheapest, pool, gate)
        return pool.best

    def _refusal(self, bound: int | None) -> dict[str, Any]:
        if bound is not None:
            self.bounds = dict.fromkeys(("cheapest", "keep_all"), bound)
            self.bounds |= dict.fromkeys(("fewest_changes", "newest"), 0)
            return {
                "feasible": None,
                "strategies": None,
                "options": [],
                "proven": False,
                "bounds": {name: self._bound_of(name, None) for name in MEASURES},
            }
        return {"feasible": False} | explain_refusal(self.problem, self.should_stop, self.pins)


class Keeping(Pass):
    """The options in which an existing unit is left on its network and in its place."""

    def __init__(self, problem: Problem) -> None:
        self.slots = problem.slots
        requests = problem.case.requests
        self.removed = {r.device for r in requests if r.verb == "remove"}
        self.replaced = {r.device for r in requests if r.verb == "replace"}

    def unit(self, slot: int, option: Option) -> bool:
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
