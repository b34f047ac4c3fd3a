"""The engine against an exhaustive search on small random cases, and against itself on larger."""

import pytest

from planner.engine import answer_case
from tests.engine.checker import faults_of
from tests.engine.oracle import everything
from tests.engine.test_cases import ORDER
from tests.engine.worlds import random_case

# Three units, a wish, a switch and a new switch are what the exhaustive search can bear; these
# seeds were left out because it would take longer than a second on each.
TOO_SLOW = {0, 14, 44, 64, 77, 92, 134, 135, 145}
SEEDS = [seed for seed in range(150) if seed not in TOO_SLOW]


TINY_TOO_SLOW = {1022, 1181, 1192, 1212, 1222, 1233, 1269, 1274, 1333, 1352, 1375, 1376, 1411}
TINY = [seed for seed in range(1000, 1420) if seed not in TINY_TOO_SLOW]


def test_more_than_five_hundred_cases_are_tried():
    assert len(SEEDS) + len(TINY) >= 500


@pytest.mark.parametrize("seed", SEEDS)
def test_engine_agrees_with_trying_everything(seed):
    agrees_with_trying_everything(random_case(seed, units=2 + seed % 2))


@pytest.mark.parametrize("first", range(0, len(TINY), 37))
def test_engine_agrees_with_trying_everything_on_many_tiny_cases(first):
    for seed in TINY[first : first + 37]:
        agrees_with_trying_everything(random_case(seed, units=2, models=3))


def agrees_with_trying_everything(case):
    oracle = everything(case)
    right = oracle.answer(5)

    answer = answer_case(case)

    assert answer["feasible"] == right["feasible"]
    if answer["feasible"]:
        values = {
            key: plan and tuple(plan[field] for field in ORDER[key])
            for key, plan in answer["strategies"].items()
        }
        assert values == right["strategies"]
        assert [plan["total_cents"] for plan in answer["options"]] == right["options"]
    else:
        conflict = set(answer["conflict"])
        assert answer["relaxations"] == right["relaxations"]
        assert not oracle.can_keep(conflict)
        assert all(oracle.can_keep(conflict - {name}) for name in conflict)


@pytest.mark.parametrize("seed", range(40))
def test_plans_of_larger_cases_are_right(seed):
    case = random_case(seed, units=9, switches=2, adds=3, locations=5, models=8, max_new=2)

    answer = answer_case(case, options=8)

    plans = [p for p in (answer.get("strategies") or {}).values() if p]
    for plan in [*plans, *answer.get("options", [])]:
        assert faults_of(case, plan) == []
    totals = [plan["total_cents"] for plan in answer.get("options", [])]
    assert totals == sorted(totals)


@pytest.mark.parametrize("seed", range(60))
def test_dropping_a_statement_or_raising_a_limit_never_makes_the_cheapest_dearer(seed):
    case = random_case(seed, units=4, switches=2, adds=1, locations=3, models=5)
    before = cheapest(case)
    if case["catalogue"]["statements"]:
        case["catalogue"]["statements"].pop(seed % len(case["catalogue"]["statements"]))
    else:
        case["job"]["switches"]["max_new"] += 1

    after = cheapest(case)

    assert before is None or (after is not None and after <= before)


@pytest.mark.parametrize("seed", range(60))
def test_a_plan_fed_back_as_the_boat_is_free_and_changes_nothing(seed):
    case = random_case(seed, units=4, switches=2, adds=1, locations=3, models=5)
    answer = answer_case(case)
    plan = answer["strategies"]["cheapest"] if answer["feasible"] else None

    again = answer_case(as_boat(case, plan)) if plan else answer

    if plan is None:
        assert again["conflict"]
    else:
        best = again["strategies"]["cheapest"]
        assert (best["total_cents"], best["changes"]) == (0, 0)


def cheapest(case):
    answer = answer_case(case)
    return answer["strategies"]["cheapest"]["total_cents"] if answer["feasible"] else None


def as_boat(case, plan):
    """The boat after the plan, with no wishes left."""
    old = {cable["id"]: cable for cable in case["boat"]["cables"]}
    places = {row["unit"]: row["location"] for row in plan["units"]}
    ends = [end for link in plan["links"] for end in link["between"]]
    devices = [
        {
            "id": row["unit"].replace("new", "fresh"),
            "model": row["model"],
            "location": row["location"],
            "release": row["release"],
            "networked": row["networked"],
            "adapters": ends.count(row["unit"]),
        }
        for row in plan["units"]
        if row["fate"] != "removed"
    ]
    cables = list(old.values()) + [
        {
            "id": f"pulled-{n}",
            "cable": link["cable"].removeprefix("buy:"),
            "between": [places[end] for end in link["between"]],
        }
        for n, link in enumerate(plan["links"])
        if link["cable"] not in old
    ]
    boat = case["boat"] | {"devices": devices, "cables": cables}
    return case | {"boat": boat, "job": case["job"] | {"requests": []}}
