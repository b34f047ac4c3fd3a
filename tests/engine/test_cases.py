"""The kept cases: every expected value, and every plan checked apart from the engine."""

import json
from pathlib import Path

import pytest

from planner.engine import answer_case
from planner.engine.conflict import Doubt
from planner.engine.problem import Problem
from planner.engine.reading import read_case
from tests.engine.checker import faults_of

FOLDER = Path(__file__).parent / "cases"
NAMES = sorted(p.stem for p in FOLDER.glob("*.json") if not p.stem.endswith(".answer"))
ORDER = {
    "cheapest": ("total_cents", "changes"),
    "keep_all": ("total_cents", "changes"),
    "fewest_changes": ("changes", "total_cents"),
    "newest": ("behind", "total_cents"),
}


def load(name):
    case = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    answer = json.loads((FOLDER / f"{name}.answer.json").read_text(encoding="utf-8"))
    return case, answer


def kind_of(case, plan):
    kinds = {name: model["kind"] for name, model in case["catalogue"]["models"].items()}
    units, switches = [], []
    for row in plan["units"]:
        if kinds[row["model"]] != "switch":
            units.append((row["unit"], row["fate"], row["model"], row["networked"]))
        elif row["networked"]:
            switches.append(row["model"])
    return tuple(sorted(units)), tuple(sorted(switches))


def test_all_48_cases_are_kept():
    assert len(NAMES) == 48


@pytest.mark.parametrize("name", NAMES)
def test_case_is_answered_as_expected(name):
    case, expected = load(name)

    answer = answer_case(case)

    assert answer["feasible"] == expected["feasible"]
    assert "proven" not in answer
    if answer["feasible"]:
        values = {
            key: plan and [plan[field] for field in ORDER[key]]
            for key, plan in answer["strategies"].items()
        }
        assert values == expected["strategies"]
        assert [plan["total_cents"] for plan in answer["options"]] == expected["options"]
    else:
        assert answer["relaxations"] == expected["relaxations"]


@pytest.mark.parametrize("name", NAMES)
def test_every_plan_of_the_case_is_right_and_of_its_own_kind(name):
    case, _ = load(name)

    answer = answer_case(case)

    plans = [p for p in (answer.get("strategies") or {}).values() if p]
    for plan in [*plans, *answer.get("options", [])]:
        assert faults_of(case, plan) == []
    kinds = [kind_of(case, plan) for plan in answer.get("options", [])]
    assert len(set(kinds)) == len(kinds)


REFUSED = [name for name in NAMES if not load(name)[1]["feasible"]]


@pytest.mark.parametrize("name", REFUSED)
def test_conflict_is_minimal(name):
    case, _ = load(name)
    conflict = frozenset(answer_case(case)["conflict"])
    doubt = Doubt(Problem(read_case(case)), None)

    assert not doubt.possible(conflict)
    assert [name for name in conflict if not doubt.possible(conflict - {name})] == []
