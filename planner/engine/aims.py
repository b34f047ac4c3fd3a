"""What is made least, and what a whole case demands."""

from typing import NamedTuple

from planner.engine.facts import Case
from planner.engine.frames import Aim
from planner.engine.problem import Problem
from planner.engine.skeletons import Demand


class Aims(NamedTuple):
    """The aims of the strategies; the first measure outweighs all that the second can be."""

    cheapest: Aim
    fewest: Aim
    newest: Aim

    @classmethod
    def of(cls, problem: Problem) -> "Aims":
        """The aims for one case."""
        most_changes = len(problem.slots) + len(problem.switch_slots) + problem.case.max_new + 1
        cents = most_cents(problem)
        return cls(Aim(most_changes, 1, 0), Aim(1, cents, 0), Aim(1, 0, cents))

    def scale(self, strategy: str) -> int:
        """What one of a strategy's first measure weighs."""
        if strategy == "fewest_changes":
            return self.fewest.changes
        return self.newest.behind if strategy == "newest" else self.cheapest.cents


def full_demand(case: Case) -> Demand:
    """Every request, statement and limit of a case."""
    return Demand(
        (1 << len(case.requests)) - 1,
        (1 << len(case.statements)) - 1,
        case.dc_limit_ma,
        case.max_new,
    )


def most_cents(problem: Problem) -> int:
    """More than any plan can cost."""
    case: Case = problem.case
    adapter = max(case.adapters.values(), default=0)
    link = problem.wiring.dearest_cents() + 2 * adapter
    lists = (*problem.options, *problem.switch_options)
    total = sum(max(o.cents for o in options) for options in lists if options)
    new = max((o.cents for o in problem.new_options), default=0)
    return 1 + total + case.max_new * (new + link) + len(lists) * link
