"""The checker itself: it passes right plans and catches a plan that was tampered with."""

import pytest

from planner.engine import answer_case
from tests.engine.checker import faults_of
from tests.engine.small import small_case, unit
from tests.engine.test_cases import load


def right_plan():
    wish = {"id": "w", "add": ["plain"], "location": "console", "networked": True}
    case = small_case(requests=[wish])
    return case, answer_case(case)["strategies"]["cheapest"]


def test_a_right_plan_has_no_faults():
    assert faults_of(*right_plan()) == []


@pytest.mark.parametrize(
    "key", ["total_cents", "parts_cents", "labour_minutes", "changes", "behind"]
)
def test_a_wrong_sum_is_caught(key):
    case, plan = right_plan()
    plan[key] += 1

    assert any(fault.startswith(key) for fault in faults_of(case, plan))


def test_a_missing_link_is_caught():
    case, plan = right_plan()
    plan["links"].pop()

    assert "the network is no tree" in faults_of(case, plan)


def test_a_release_out_of_thin_air_is_caught():
    case, plan = right_plan()
    unit(plan, "d1")["release"] = "2.0"

    assert "d1 does not end at its release" in faults_of(case, plan)


def test_a_forgotten_wish_is_caught():
    case, plan = right_plan()
    unit(plan, "w")["networked"] = False

    assert "w is on or off the network against the wish" in faults_of(case, plan)


def test_a_broken_statement_is_caught():
    case, _ = load("trade-old-generation")
    plan = answer_case(case)["strategies"]["cheapest"]
    case["catalogue"]["statements"][0]["rule"]["at_most"] = 0

    assert any("is broken" in fault for fault in faults_of(case, plan))
