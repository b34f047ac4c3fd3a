"""Sentences of the case's form that few cases exercise, each against trying everything."""

from random import Random

import pytest

from planner.engine import CaseFault, answer_case, check_case
from tests.engine.checker import faults_of
from tests.engine.odd_worlds import odd_case
from tests.engine.oracle import right_answer
from tests.engine.small import cable, device, small_case, statement, unit
from tests.engine.test_random_cases import agrees_with_trying_everything
from tests.engine.worlds import KINDS

# The exhaustive search takes longer than a second on these.
TOO_SLOW = {44, 96, 99}
SEEDS = [seed for seed in range(120) if seed not in TOO_SLOW]


@pytest.mark.parametrize("first", range(0, len(SEEDS), 20))
def test_odd_cases_agree_with_trying_everything(first):
    for seed in SEEDS[first : first + 20]:
        case = odd_case(seed)
        agrees_with_trying_everything(case)
        answer = answer_case(case)
        plans = [plan for plan in (answer.get("strategies") or {}).values() if plan]
        assert [faults_of(case, plan) for plan in plans] == [[]] * len(plans)


def test_the_odd_cases_hold_both_answers_and_clashes_of_every_sort():
    answers = [answer_case(odd_case(seed)) for seed in SEEDS]

    refused = [answer for answer in answers if not answer["feasible"]]
    assert len(refused) > 20
    assert len(answers) - len(refused) > 20
    assert any(len(way) == 2 for answer in refused for way in answer["relaxations"])
    assert any("dc_limit" in answer["conflict"] for answer in refused)


@pytest.mark.parametrize("seed", range(150))
def test_a_circle_of_updates_is_refused_and_nothing_else(seed):
    rng = Random(seed)
    case = small_case()
    models = case["catalogue"]["models"]
    for n in range(5):
        models[f"x{n}"] = models["plain"] | {"kind": rng.choice(KINDS)}
        if rng.random() < 0.4:
            models[f"x{n}"] = models[f"x{n}"] | {"updates": []}
    rules = [
        {"before": some_of(rng, models), "then": some_of(rng, models)}
        for _ in range(rng.randint(1, 4))
    ]
    case["catalogue"]["statements"] = [statement(f"s{n}", r) for n, r in enumerate(rules)]

    if has_circle(models, rules):
        with pytest.raises(CaseFault, match="circle"):
            check_case(case)
    else:
        check_case(case)


def some_of(rng, models):
    found = {}
    if rng.random() < 0.8:
        found["models"] = rng.sample(sorted(models), rng.randint(1, 3))
    if rng.random() < 0.4 or not found:
        found["kinds"] = rng.sample(KINDS, rng.randint(1, 2))
    if rng.random() < 0.5:
        found["min_release"] = {"plain": rng.choice(["1.0", "2.0"])}
    return found


def has_circle(models, rules):
    """Whether some model with updates comes before itself, by every way of up to all models."""
    updated = [name for name, model in models.items() if model["updates"]]
    after = {
        (one, two)
        for rule in rules
        for one in updated
        for two in updated
        if named(models, rule["before"], one) and named(models, rule["then"], two)
    }
    for _ in updated:
        after |= {(a, d) for a, b in after for c, d in after if b == c}
    return any(one == two for one, two in after)


def named(models, selector, name):
    return models[name]["kind"] in selector.get("kinds", KINDS) and name in selector.get(
        "models", models
    )


def best(case):
    return answer_case(case)["strategies"]["cheapest"]


def test_a_unit_without_ports_may_be_alone_on_its_network():
    case = small_case(devices=[device("d1")], cables=[])
    case["catalogue"]["models"]["plain"]["ports"] = 0

    assert best(case)["total_cents"] == 0
    assert unit(best(case), "d1")["networked"]


def test_a_lone_switch_is_no_network():
    case = small_case(devices=[device("h", "hub", release=None)], cables=[])

    plan = best(case)

    assert unit(plan, "h")["fate"] == "disconnected"
    assert plan["changes"] == 1


def test_a_disconnected_switch_draws_nothing():
    devices = [device("d1"), device("h", "hub", release=None, networked=False)]
    case = small_case(devices=devices, dc_limit_ma=1500)

    assert best(case)["total_cents"] == 0
    assert answer_case(small_case(devices=devices, dc_limit_ma=1499))["feasible"]
    assert unit(best(small_case(devices=devices, dc_limit_ma=1499)), "d1")["fate"] == "removed"


def test_a_boat_may_end_without_any_network():
    case = small_case(devices=[], cables=[], routes=[], locations=["bow"])
    case["job"]["switches"]["locations"] = []

    assert best(case)["units"] == []
    assert best(case)["links"] == []


def test_cables_within_one_place_are_used_first_and_cost_nothing():
    devices = [device("d1"), device("d2"), device("d3")]
    case = small_case(devices=devices, cables=[cable("c1", "console", "console")])
    case["catalogue"]["models"]["plain"] |= {"ports": 2, "bridges": True}

    plan = best(case)

    assert sorted(link["cable"] for link in plan["links"]) == ["buy:run-5", "c1"]
    assert plan["total_cents"] == 2500 + 10 * 100


def test_a_swap_on_the_same_holes_pays_for_another_fuse_only_where_it_differs():
    same = small_case(requests=[{"id": "r", "replace": "d1", "by": ["twin"]}])
    same["catalogue"]["models"]["twin"] = same["catalogue"]["models"]["plain"] | {"releases": [],
        "updates": [], "ships_with": None}  # fmt: skip
    other = small_case(requests=[{"id": "r", "replace": "d1", "by": ["wide"]}])
    none = small_case(requests=[{"id": "r", "replace": "d1", "by": ["twin"]}])
    none["catalogue"]["models"]["twin"] = same["catalogue"]["models"]["twin"] | {"fuse_ma": None}

    plans = [best(case) for case in (same, other, none)]

    assert [plan["labour_minutes"] for plan in plans] == [25, 30, 25]
    assert [sorted(plan["parts"]) for plan in plans] == [["twin"], ["blade-5", "wide"], ["twin"]]


def test_a_fuse_that_nobody_sells_bars_what_needs_it_bought():
    case = small_case(requests=[{"id": "r", "replace": "d1", "by": ["wide"]}])
    case["catalogue"]["fuses"].pop("blade-5")
    fits = small_case(requests=[{"id": "r", "replace": "d1", "by": ["twin"]}])
    fits["catalogue"]["models"]["twin"] = fits["catalogue"]["models"]["plain"] | {"fuse_ma": 3000}
    fits["catalogue"]["fuses"].pop("blade-3")

    assert answer_case(case)["conflict"] == ["r"]
    assert best(fits)["parts"] == {"twin": 1}


@pytest.mark.parametrize(
    ("wishes", "conflict"),
    [
        ([{"id": "a", "replace": "d1", "by": ["wide"]}, {"id": "b", "keep": "d1"}], ["a", "b"]),
        ([{"id": "a", "remove": "d1"}, {"id": "b", "network": "d1"}], ["a", "b"]),
        ([{"id": "a", "replace": "d1", "by": ["wide"]}, {"id": "b", "replace": "d1",
          "by": ["sonar"]}], ["a", "b"]),
        ([{"id": "a", "replace": "d1", "by": ["plain"]}], ["a"]),
        ([{"id": "a", "replace": "d1", "by": []}], ["a"]),
        ([{"id": "a", "add": [], "location": "bow", "networked": True}], ["a"]),
    ],
)  # fmt: skip
def test_wishes_that_cannot_be_met_together_are_the_conflict(wishes, conflict):
    answer = answer_case(small_case(requests=wishes))

    assert answer["conflict"] == conflict
    assert answer["relaxations"] == right_answer(small_case(requests=wishes))["relaxations"]


def test_two_wishes_of_the_same_for_one_device_are_one():
    wishes = [{"id": "a", "keep": "d1"}, {"id": "b", "keep": "d1"}, {"id": "c", "network": "d1"}]

    assert best(small_case(requests=wishes))["total_cents"] == 0


def test_the_release_that_a_new_unit_ships_with_may_bar_it():
    rule = {"only": {"min_release": {"plain": "2.0"}}, "of": {"models": ["plain"]}}
    case = small_case(
        devices=[],
        requests=[{"id": "w", "add": ["plain"], "location": "bow", "networked": True}],
        statements=[statement("s", rule)],
    )
    case["catalogue"]["models"]["plain"] |= {"ships_with": "1.4", "updates": []}

    assert answer_case(case)["conflict"] == ["s", "w"]


def test_units_that_pass_traffic_need_no_switch():
    devices = [device("d1"), device("d2"), device("d3", location="bow")]
    case = small_case(devices=devices, max_new=0)
    case["catalogue"]["models"]["plain"] |= {"ports": 2, "bridges": True}

    plan = best(case)

    assert [row["networked"] for row in plan["units"]] == [True] * 3
    assert plan["penalty_cents"] == 0


def test_a_need_that_can_no_longer_be_met_is_left_at_once():
    agrees_with_trying_everything(odd_case(414))
