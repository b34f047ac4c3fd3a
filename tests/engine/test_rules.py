"""Each kind of statement: what it leaves alone, what it forbids, and what it makes the plan do."""

import pytest

from planner.engine import answer_case
from tests.engine.checker import faults_of
from tests.engine.small import device, small_case, statement, unit


def plan_with(*rules, **changes):
    statements = [statement(f"s{n}", rule) for n, rule in enumerate(rules)]
    case = small_case(statements=statements, **changes)
    answer = answer_case(case)
    assert answer["feasible"], answer["conflict"]
    plan = answer["strategies"]["cheapest"]
    assert faults_of(case, plan) == []
    return plan


def releases(plan):
    return [unit(plan, name)["release"] for name in ("d1", "d2")]


NO_OPS = [
    {"at_most": 2, "of": {"kinds": ["display"]}},
    {"at_most": 0, "of": {"kinds": ["radar"]}},
    {"at_most": 0, "of": {"kinds": ["display"]}, "when": {"kinds": ["switch"]}},
    {"only": {"models": ["plain"]}, "of": {"kinds": ["display"]}},
    {"only": {"kinds": ["radar"]}, "of": {"kinds": ["sounder"]}},
    {"only": {"kinds": ["radar"]}, "of": {}, "when": {"models": ["hub"]}},
    {"at_least": 2, "of": {"kinds": ["display"]}},
    {"at_least": 0, "of": {"kinds": ["radar"]}},
    {"at_least": 5, "of": {"kinds": ["radar"]}, "when": {"kinds": ["sounder"]}},
    {"same_release": {}},
    {"same_release": {"kinds": ["sounder"]}},
    {"before": {"kinds": ["display"]}, "then": {"kinds": ["sounder"]}},
    {"at_most": 0, "of": {"kinds": ["radar"], "min_release": {"plain": "1.0"}}},
]


@pytest.mark.parametrize("rule", NO_OPS, ids=str)
def test_rule_that_is_kept_already_changes_nothing(rule):
    plan = plan_with(rule)

    assert (plan["total_cents"], plan["changes"], plan["updates"]) == (0, 0, [])


def test_at_most_takes_a_unit_off_the_network():
    plan = plan_with({"at_most": 1, "of": {"kinds": ["display"]}})

    assert plan["penalty_cents"] == 40000
    assert sorted(row["networked"] for row in plan["units"]) == [False, True]


def test_only_from_a_release_on_asks_for_the_update():
    rule = {"only": {"min_release": {"plain": "1.4"}}, "of": {"kinds": ["display"]}}

    assert releases(plan_with(rule)) == ["1.4", "1.4"]


def test_at_least_asks_for_one_unit_at_the_release():
    rule = {"at_least": 1, "of": {"models": ["plain"], "min_release": {"plain": "2.0"}}}

    plan = plan_with(rule)

    assert sorted(releases(plan)) == ["1.0", "2.0"]
    assert plan["labour_minutes"] == 30


def test_at_least_without_condition_binds_an_empty_network_too():
    case = small_case(
        statements=[statement("s", {"at_least": 1, "of": {"kinds": ["radar"]}})], devices=[]
    )

    assert answer_case(case)["conflict"] == ["s"]


def test_condition_on_an_empty_selector_asks_for_any_unit():
    rule = {"at_least": 1, "of": {"kinds": ["radar"]}, "when": {}}
    case = small_case(statements=[statement("s", rule)])

    plan = answer_case(case)["strategies"]["cheapest"]

    assert [row["networked"] for row in plan["units"]] == [False, False]


def test_same_release_brings_the_lagging_unit_up():
    devices = [device("d1", release="1.4"), device("d2", location="bow")]

    plan = plan_with({"same_release": {"kinds": ["display"]}}, devices=devices)

    assert releases(plan) == ["1.4", "1.4"]
    assert plan["labour_minutes"] == 20


def test_same_release_looks_at_text_across_models():
    devices = [device("d1", release="1.4"), device("d2", "wide", location="bow", release="1.4")]

    plan = plan_with({"same_release": {}}, devices=devices)

    assert plan["changes"] == 0


def test_before_orders_the_updates_and_never_rules_a_plan_out():
    devices = [device("a1", "sonar"), device("d2", location="bow")]
    newest = {"only": {"min_release": {"plain": "2.0", "sonar": "2.0"}}, "of": {}}
    before = {"before": {"kinds": ["display"]}, "then": {"kinds": ["sounder"]}}

    plan = plan_with(newest, before, devices=devices)

    assert [step["unit"] for step in plan["updates"]] == ["d2", "d2", "a1", "a1"]
    assert plan["updates"][0] == {"unit": "d2", "from": "1.0", "to": "1.4"}


def test_the_quickest_way_is_taken_not_the_shortest():
    plan = plan_with({"only": {"min_release": {"plain": "2.0"}}, "of": {}})

    assert [step["to"] for step in plan["updates"]] == ["1.4", "2.0", "1.4", "2.0"]
    assert plan["labour_minutes"] == 60


def test_a_release_that_no_update_reaches_is_not_reached():
    case = small_case(
        statements=[statement("s", {"only": {"min_release": {"plain": "2.0"}}, "of": {}})],
        requests=[{"id": "r", "network": "d1"}],
    )
    case["catalogue"]["models"]["plain"]["updates"] = []

    answer = answer_case(case)

    assert answer["conflict"] == ["r", "s"]
    assert answer["relaxations"] == [["r"], ["s"]]


def test_a_model_without_firmware_meets_no_min_release():
    case = small_case(devices=[device("h", "hub", release=None)])
    case["catalogue"]["statements"] = [
        statement("s", {"at_most": 0, "of": {"min_release": {"plain": "2.0"}}})
    ]

    assert answer_case(case)["strategies"]["cheapest"]["total_cents"] == 0
