"""What to measure first: which facts not known would change the plan if they turned out badly."""

import re
from collections.abc import Callable, Mapping, Sequence
from copy import deepcopy
from typing import Any

from planner.engine.aims import Aims, full_demand
from planner.engine.faults import CaseFault, SearchStoppedError
from planner.engine.frames import Aim
from planner.engine.gates import OPEN, Gate
from planner.engine.kinds import SameKind, kind_of_plan
from planner.engine.plans import plan_of
from planner.engine.pools import Single
from planner.engine.problem import Problem
from planner.engine.reading import read_case
from planner.engine.search import search
from planner.engine.words import money

JsonDict = dict[str, Any]
Stop = Callable[[], bool] | None
_STEP = re.compile(r"\.([A-Za-z_][A-Za-z0-9_]*)|\[(\d+)\]|\['((?:[^'\\]|\\.)*)'\]")
_ESCAPED = re.compile(r"\\(?:u([0-9a-f]{4})|(.))")


def measure_first(
    case: JsonDict,
    unknowns: Sequence[Mapping[str, Any]],
    *,
    plan: JsonDict | None = None,
    should_stop: Stop = None,
) -> list[JsonDict]:
    """Rank the unknowns whose bad turn changes the plan, the dearest to be wrong about first.

    `unknowns`: `{"id", "change"}`; `change` maps JSON paths (`$.boat.routes[0].feet`) to the
    value in the bad case. `plan` is the one that will be carried out, the cheapest unless given.
    Each row: `id`, `falls` (the plan cannot be carried out as it is), `possible` (some plan
    remains; null: not known in the time given), `wrong_cents` (what the chosen kind of plan then
    costs beyond the best one; where it falls, what the best one costs beyond the present plan;
    null where none remains), `then_cents` and `text`. Raises `CaseFault` for a change that
    leads nowhere or breaks the case.
    """
    problem = Problem(read_case(case))
    chosen = plan or _least(problem, OPEN, should_stop)
    if chosen is None:
        return []
    rows = []
    for number, unknown in enumerate(unknowns):
        turned = Problem(read_case(with_changes(case, unknown["change"], f"$.unknowns[{number}]")))
        row = _turned(problem, turned, chosen, should_stop)
        if row is not None:
            rows.append({"id": unknown["id"]} | row)
    return sorted(rows, key=_weight)


def _weight(row: JsonDict) -> tuple[bool, bool, int, str]:
    lost = row["possible"] is not True
    return not lost, not row["falls"], -(row["wrong_cents"] or 0), str(row["id"])


def _turned(problem: Problem, turned: Problem, chosen: JsonDict, stop: Stop) -> JsonDict | None:
    """What the bad turn does to the plan; None where the plan stays as it is."""
    try:
        best = _least(turned, OPEN, stop)
        like = None if best is None else _least(turned, Gate((SameKind(turned, chosen),)), stop)
    except SearchStoppedError:
        return _row(falls=False, possible=None, text="Not known: the time given was too short.")
    if best is None:
        return _row(falls=True, possible=False, text="No plan would meet everything asked.")
    then = best["total_cents"]
    if like is None:
        more = then - chosen["total_cents"]
        text = f"This plan could not be carried out; the best one then costs {money(then)}."
        return _row(falls=True, possible=True, wrong_cents=more, then_cents=then, text=text)
    same = kind_of_plan(turned, best) == kind_of_plan(problem, chosen)
    more = like["total_cents"] - then
    if same or not more:
        return None
    text = f"Another plan would then be {money(more)} cheaper than this one."
    return _row(falls=False, possible=True, wrong_cents=more, then_cents=then, text=text)


def _row(
    *,
    falls: bool,
    possible: bool | None,
    text: str,
    wrong_cents: int | None = None,
    then_cents: int | None = None,
) -> JsonDict:
    return {
        "falls": falls,
        "possible": possible,
        "wrong_cents": wrong_cents,
        "then_cents": then_cents,
        "text": text,
    }


def _least(problem: Problem, gate: Gate, stop: Stop) -> JsonDict | None:
    pool = Single()
    aim: Aim = Aims.of(problem).cheapest
    search(problem, full_demand(problem.case), aim, pool, should_stop=stop, gate=gate)
    return None if pool.best is None else plan_of(problem, pool.best)


def with_changes(case: JsonDict, change: Mapping[str, Any], where: str = "$") -> JsonDict:
    """A copy of a case with the values at these JSON paths set; every path must exist."""
    changed: JsonDict = deepcopy(case)
    for path, value in change.items():
        steps = _steps(path, where)
        holder: Any = changed
        for step in steps[:-1]:
            holder = _into(holder, step, path)
        _into(holder, steps[-1], path)
        holder[steps[-1]] = value
    return changed


def _steps(path: str, where: str) -> list[str | int]:
    steps: list[str | int] = []
    at = 1
    while path.startswith("$") and at < len(path):
        match = _STEP.match(path, at)
        if match is None:
            break
        word, number, quoted = match.groups()
        steps.append(int(number) if number is not None else word or _unquoted(quoted))
        at = match.end()
    if not steps or at < len(path):
        raise CaseFault(f"{where}.change", f"{path!r} is not a path such as $.boat.slack_ft")
    return steps


def _unquoted(text: str) -> str:
    return _ESCAPED.sub(lambda m: m[2] or chr(int(m[1], 16)), text)


def _into(holder: Any, step: str | int, path: str) -> Any:
    fits = isinstance(holder, list if isinstance(step, int) else dict)
    if not fits or (step >= len(holder) if isinstance(step, int) else step not in holder):
        raise CaseFault(path, "there is no such place in this case")
    return holder[step]
