"""The kind of a plan: what tells one option from another, and a pass that holds a search to it."""

from collections import Counter
from typing import Any

from planner.engine.choices import ABSENT
from planner.engine.gates import Pass
from planner.engine.problem import NODE, Option, Problem
from planner.engine.selections import Selection

JsonDict = dict[str, Any]


def kind_of_plan(problem: Problem, plan: JsonDict) -> tuple[object, ...]:
    """Something equal for plans of one kind."""
    same = SameKind(problem, plan)
    return tuple(same.fates), tuple(sorted(same.switches.items()))


class SameKind(Pass):
    """Lets through the plans of the same kind as a given one."""

    minds_models = True

    def __init__(self, problem: Problem, plan: JsonDict) -> None:
        rows = {row["unit"]: row for row in plan["units"]}
        self.fates: list[tuple[str, str, bool]] = []
        for slot in problem.slots:
            row = rows.get(slot.id)
            kind = (row["fate"], row["model"], row["networked"]) if row else (ABSENT, "", False)
            self.fates.append(kind)
        models = problem.case.models
        self.switches = Counter(
            row["model"]
            for row in plan["units"]
            if row["networked"] and models[row["model"]].kind == "switch"
        )

    def unit(self, slot: int, option: Option) -> bool:
        """Only what the plan makes of this unit."""
        return option.kind == self.fates[slot]

    def new(self, option: Option) -> bool:
        """Only models that the plan has networked."""
        return option.choice.model.id in self.switches

    def selection(self, selection: Selection) -> bool:
        """Only the same number of each model."""
        every = (*selection.switches, *selection.new)
        return self.switches == Counter(o.choice.model.id for o in every if o.link == NODE)
