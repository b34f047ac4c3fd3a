"""What if, and why not: planning with pins, against trying everything."""

from itertools import combinations

import pytest

from planner.engine import CaseFault, answer_case, plan_with, usual_questions, why_not
from tests.engine.checker import faults_of
from tests.engine.oracle import everything
from tests.engine.small import device, small_case, statement, unit
from tests.engine.test_cases import load
from tests.engine.worlds import random_case

SEEDS = range(1000, 1035)


def small_world(seed):
    return random_case(seed, units=2, models=3)


def fate_pins(case):
    """A few pins for the first unit, each with what it means for a plan's kind."""
    name = sorted(d["id"] for d in case["boat"]["devices"] if d["id"][0] == "d")[0]
    return [
        ({"pin": "unit", "unit": name, "fate": "removed"}, lambda k: k[0] == "removed"),
        ({"pin": "unit", "unit": name, "fate": "stays"}, lambda k: k[0] == "stays"),
        ({"pin": "unit", "unit": name, "networked": True}, lambda k: k[2]),
        (
            {"pin": "unit", "unit": name, "fate": "stays", "not": True},
            lambda k: k[0] != "stays",
        ),
    ]


@pytest.mark.parametrize("seed", [s for s in SEEDS if s != 1022])
def test_a_pin_is_kept_at_the_least_cost_or_the_fewest_things_forbid_it(seed):
    case = small_world(seed)
    oracle = everything(case)
    place = [d["id"] for d in oracle.plain].index(sorted(d["id"] for d in oracle.plain)[0])
    plans = list(oracle.plans(3))
    for pin, fits in fate_pins(case):
        pinned = [plan for plan in plans if fits(plan[3][0][place])]
        right = [plan for plan in pinned if not plan[4]]

        told = why_not(case, pin)

        assert told["possible"] == bool(right)
        if right:
            best = answer_case(case)["strategies"]["cheapest"]["total_cents"]
            assert told["extra_cents"] == min(plan[0] for plan in right) - best
            assert faults_of(case, told["plan"]) == []
        else:
            forbidding = set(told["forbidden_by"])
            assert all(plan[4] & forbidding for plan in pinned)
            assert len(forbidding) == fewest({plan[4] for plan in pinned})


def fewest(broken):
    """The size of the smallest set that shares something with each of these."""
    names = sorted(set().union(*broken))
    size = 0
    while not any(all(set(chosen) & one for one in broken) for chosen in combinations(names, size)):
        size += 1
    return size


@pytest.mark.parametrize("seed", [s for s in SEEDS if s != 1022])
def test_planning_again_with_a_pin_gives_all_strategies(seed):
    case = small_world(seed)
    pin, fits = fate_pins(case)[seed % 3]
    oracle = everything(case)
    place = [d["id"] for d in oracle.plain].index(sorted(d["id"] for d in oracle.plain)[0])
    right = [p for p in oracle.plans(0) if not p[4] and fits(p[3][0][place])]

    answer = plan_with(case, [pin])

    assert answer["feasible"] == bool(right)
    if right:
        plans = answer["strategies"]
        fewest_first = (plans["fewest_changes"]["changes"], plans["fewest_changes"]["total_cents"])
        assert plans["cheapest"]["total_cents"] == min(p[0] for p in right)
        assert fewest_first == min((p[1], p[0]) for p in right)


def test_pins_that_clash_stand_in_the_conflict_by_their_place():
    pins = [
        {"pin": "new_switches", "at_most": 0},
        {"pin": "unit", "unit": "d1", "fate": "stays"},
        {"pin": "unit", "unit": "d1", "fate": "removed"},
    ]

    answer = plan_with(small_case(), pins)

    assert answer["conflict"] == ["pin-2", "pin-3"]
    assert answer["relaxations"] == [["pin-2"], ["pin-3"]]


def test_a_release_may_be_pinned_and_forbidden():
    pinned = plan_with(small_case(), [{"pin": "unit", "unit": "d1", "release": "1.4"}])
    other = plan_with(
        small_case(), [{"pin": "unit", "unit": "d1", "release": "1.0", "networked": True,
                        "not": True}]
    )  # fmt: skip

    assert unit(pinned["strategies"]["cheapest"], "d1")["release"] == "1.4"
    best = unit(other["strategies"]["cheapest"], "d1")
    assert (best["release"], best["networked"]) != ("1.0", True)


def test_a_switch_may_be_wanted_or_unwanted_at_a_place():
    case = small_case(devices=[device("d1"), device("d2"), device("d3", location="bow")])
    case["job"]["switches"]["locations"] = ["bow", "console"]
    case["job"]["penalties"]["offnet_cents"] = 400000
    there = {"pin": "switch", "location": "bow", "model": "hub", "present": True}

    usual = answer_case(case)["strategies"]["cheapest"]
    moved = plan_with(case, [there])["strategies"]["cheapest"]
    without = plan_with(case, [there | {"location": "console", "present": False}])

    assert unit(usual, "new1")["location"] == "console"
    assert unit(moved, "new1")["location"] == "bow"
    assert "new1" not in {
        row["unit"]
        for row in without["strategies"]["cheapest"]["units"]
        if row["location"] == "console"
    }


@pytest.mark.parametrize("model", [{}, {"model": None}])
def test_a_switch_of_any_model_may_be_wanted_or_unwanted_at_a_place(model):
    case = small_case(devices=[device("d1"), device("d2"), device("d3", location="bow")])
    case["catalogue"]["models"]["box"] = case["catalogue"]["models"]["hub"] | {"price_cents": 100}
    case["job"]["switches"] = {"models": ["hub", "box"], "locations": ["bow", "console"],
                               "max_new": 1}  # fmt: skip
    case["job"]["penalties"]["offnet_cents"] = 400000
    pin = {"pin": "switch", "location": "bow", **model}

    there = plan_with(case, [pin | {"present": True}])["strategies"]["cheapest"]
    nowhere = why_not(case, pin | {"location": "console", "present": True})
    without = plan_with(
        case, [pin | {"present": False}, pin | {"location": "console", "present": False}]
    )["strategies"]["cheapest"]

    places = {row["location"]: row["model"] for row in there["units"] if row["unit"] == "new1"}
    assert places == {"bow": "box"}
    assert nowhere["possible"]
    assert [row for row in without["units"] if row["unit"] == "new1"] == []


def test_where_the_job_allows_no_switch_that_is_said():
    case = small_case(devices=[device("d1"), device("d2")])

    told = why_not(case, {"pin": "switch", "location": "bow", "present": True})

    assert told["possible"] is False
    assert told["text"] == "Not possible: the job allows no new switch at bow."


def test_a_model_that_is_forbidden_is_not_bought():
    case = small_case(requests=[{"id": "r", "replace": "d1", "by": ["wide", "sonar"]}])

    answer = plan_with(case, [{"pin": "forbid_model", "model": "sonar"}])

    assert unit(answer["strategies"]["cheapest"], "d1")["model"] == "wide"


def test_a_replacement_named_by_a_pin_is_allowed_though_no_successor():
    pin = {"pin": "unit", "unit": "d1", "fate": "replaced", "model": "wide"}

    told = why_not(small_case(), pin)

    assert told["possible"]
    assert unit(told["plan"], "d1")["model"] == "wide"
    assert "$" in told["text"]


def test_what_nothing_in_the_case_forbids_by_name_is_said_in_words():
    case = small_case()
    case["catalogue"]["models"]["wide"]["price_cents"] = None
    pin = {"pin": "unit", "unit": "d1", "fate": "replaced", "model": "wide"}

    told = why_not(case, pin)

    assert (told["possible"], told["forbidden_by"]) == (False, [])
    assert told["text"] == "Not possible: wide cannot be bought."


def test_the_statement_that_forbids_is_named_in_words():
    one = statement("s", {"at_most": 0, "of": {"kinds": ["display"]}})

    told = why_not(small_case(statements=[one]), {"pin": "unit", "unit": "d1", "networked": True})

    assert told["forbidden_by"] == ["s"]
    assert "Rule s." in told["text"]


def test_time_that_runs_out_is_never_shown_as_a_no():
    told = why_not(
        small_case(), {"pin": "unit", "unit": "d1", "fate": "removed"}, should_stop=lambda: True
    )

    assert told["possible"] is None


BAD_PINS = [
    ({"pin": "unit", "unit": "nobody", "fate": "stays"}, "$.pins[0].unit"),
    ({"pin": "unit", "unit": "d1", "fate": "added"}, "$.pins[0].fate"),
    ({"pin": "unit", "unit": "d1"}, "$.pins[0]"),
    ({"pin": "unit", "unit": "d1", "networked": "yes"}, "$.pins[0].networked"),
    ({"pin": "unit", "unit": "d1", "release": "9.9"}, "$.pins[0].release"),
    ({"pin": "unit", "unit": "d1", "fate": "replaced", "model": "hub"}, "$.pins[0].model"),
    ({"pin": "switch", "location": "bow", "model": "plain", "present": True}, "$.pins[0].model"),
    ({"pin": "new_switches", "at_most": -1}, "$.pins[0].at_most"),
    ({"pin": "wish"}, "$.pins[0].pin"),
    ("wish", "$.pins[0]"),
]


@pytest.mark.parametrize(("pin", "path"), BAD_PINS, ids=range(len(BAD_PINS)))
def test_a_bad_pin_is_refused_with_its_path(pin, path):
    with pytest.raises(CaseFault) as caught:
        plan_with(small_case(), [pin])

    assert caught.value.path == path


@pytest.mark.parametrize("name", ["trade-third-unit", "small-003", "medium-002", "medium-004"])
def test_every_usual_question_has_an_answer(name):
    case, _ = load(name)
    plan = answer_case(case)["strategies"]["cheapest"]

    questions = usual_questions(case, plan)

    assert questions
    for one in questions[:12]:
        told = why_not(case, one["pin"], plan=plan)
        assert one["question"].startswith("Why ")
        assert told["forbidden_by"] or told["possible"] in (True, False)
        assert told["extra_cents"] is None or told["extra_cents"] >= 0
