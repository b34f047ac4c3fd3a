"""How far a number may move: each end is tried by planning again there and one step beyond."""

from copy import deepcopy

import pytest

from planner.engine import CaseFault, answer_case, measure_first, sensitivity
from tests.engine.small import device, small_case
from tests.engine.test_cases import kind_of, load
from tests.engine.test_stopping import After
from tests.engine.worlds import random_case

SEEDS = range(24)


def with_price(case, part, cents):
    changed = deepcopy(case)
    for table in ("models", "adapters", "leads", "fuses", "cables"):
        if part in changed["catalogue"][table]:
            changed["catalogue"][table][part]["price_cents"] = cents
    return changed


def with_rate(case, cents):
    changed = deepcopy(case)
    changed["catalogue"]["rates"]["labour_cents_per_minute"] = cents
    return changed


def with_route(case, number, feet):
    changed = deepcopy(case)
    changed["boat"]["routes"] = sorted(
        changed["boat"]["routes"], key=lambda r: (*sorted(r["between"]), r["feet"])
    )
    changed["boat"]["routes"][number]["feet"] = feet
    return changed


def is_cheapest(case, kind):
    plans = answer_case(case, options=40)["options"]
    least = plans[0]["total_cents"]
    return any(kind_of(case, p) == kind for p in plans if p["total_cents"] == least)


def ends_hold(case, kind, change, low, high):
    for end, beyond in ((low, -1), (high, 1)):
        if end is not None:
            assert is_cheapest(change(end), kind)
            assert not is_cheapest(change(end + beyond), kind)
    return [end for end in (low, high) if end is not None]


@pytest.mark.parametrize("seed", SEEDS)
def test_the_ends_are_exact_for_prices_labour_and_routes(seed):
    case = random_case(seed, units=3, switches=1, adds=1, locations=4, models=4)
    answer = answer_case(case)
    told = sensitivity(case, answer) if answer["feasible"] else None
    kind = kind_of(case, answer["options"][0]) if told else None

    found = []
    for row in told["prices"] if told else []:
        change = lambda x, part=row["part"]: with_price(case, part, x)  # noqa: E731
        found += ends_hold(case, kind, change, row["from_cents"], row["to_cents"])
    for number, row in enumerate(told["routes"] if told else []):
        change = lambda x, n=number: with_route(case, n, x)  # noqa: E731
        found += ends_hold(case, kind, change, row["from_ft"], row["to_ft"])
    if told:
        rate = told["labour_cents_per_minute"]
        found += ends_hold(case, kind, lambda x: with_rate(case, x), rate["from"], rate["to"])
        assert told["proven"]
    assert answer["feasible"] or found == []


def test_where_there_is_no_end_far_values_change_nothing():
    case, _ = load("medium-002")
    answer = answer_case(case)
    kind = kind_of(case, answer["options"][0])

    told = sensitivity(case, answer)

    free = [row["part"] for row in told["prices"] if row["to_cents"] is None]
    assert free
    for part in free[::5]:
        assert is_cheapest(with_price(case, part, 10**8), kind)
    assert told["labour_cents_per_minute"]["above"]["option"] == 1


def test_an_option_that_is_not_the_cheapest_has_no_range():
    case, _ = load("medium-002")

    told = sensitivity(case, answer_case(case), option=3)

    assert told["cheapest"] is False
    assert told["prices"] == []


def test_time_that_runs_out_leaves_the_rows_unproven():
    case, _ = load("medium-002")

    told = sensitivity(case, answer_case(case), should_stop=lambda: True)

    assert told["proven"] is False


def test_what_the_option_pays_for_is_worked_out_first_and_told_by_name():
    case, _ = load("medium-002")
    answer = answer_case(case)
    bought = set(answer["options"][0]["parts"])
    whole = sensitivity(case, answer)
    never = After(10**9)
    sensitivity(case, answer, should_stop=never)
    seen = []

    for count in range(1, never.asked, never.asked // 9):
        told = sensitivity(case, answer, should_stop=After(count))
        names = [row["part"] for row in told["prices"]]
        seen.append(len(names))
        assert names == sorted(names)
        assert bought.issuperset(names) or bought.issubset(names)
        assert all(row in whole["prices"] for row in told["prices"])

    assert any(0 < n < len(whole["prices"]) for n in seen)


def test_what_to_measure_first_is_what_would_be_dearest_to_be_wrong_about():
    case = small_case(devices=[device("d1"), device("d2", location="bow")])
    case["boat"]["cables"] = []
    unknowns = [
        {"id": "draw", "change": {"$.catalogue.models.sonar.draw_ma": 9000}},
        {"id": "route", "change": {"$.boat.routes[0].feet": 12}},
        {"id": "gone", "change": {"$.boat.routes[0].feet": 40}},
        {"id": "limit", "change": {"$.boat.dc_limit_ma": 100, "$.job.penalties.lost_cents": 0}},
    ]
    case["job"]["penalties"]["offnet_cents"] = 7200
    case["job"]["requests"] = [{"id": "k", "keep": "d1"}, {"id": "k2", "keep": "d2"}]

    told = measure_first(case, unknowns)

    assert [row["id"] for row in told] == ["limit", "gone"]
    assert told[0]["possible"] is False
    assert told[1]["falls"]
    assert told[1]["wrong_cents"] > 0


def test_a_dearer_plan_that_still_stands_is_told_with_what_it_costs_too_much():
    case = small_case()
    case["boat"]["cables"] = []
    case["job"]["penalties"]["offnet_cents"] = 7000

    told = measure_first(case, [{"id": "run", "change": {"$.boat.routes[0].feet": 13}}])

    assert [(row["id"], row["falls"], row["wrong_cents"]) for row in told] == [("run", False, 100)]


@pytest.mark.parametrize("path", ["boat", "$", "$.boat.nothing", "$.boat.routes[7]", "$.boat[0]"])
def test_a_change_that_leads_nowhere_is_refused(path):
    with pytest.raises(CaseFault):
        measure_first(small_case(), [{"id": "a", "change": {path: 1}}])
