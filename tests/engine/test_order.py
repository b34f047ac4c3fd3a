"""The same case gives the same answer, byte for byte, however its file is arranged."""

import json
import os
import subprocess
import sys
from copy import deepcopy
from random import Random

import pytest
from django.conf import settings
from hypothesis import given
from hypothesis import strategies as st

from planner.engine import (
    answer_case,
    explain_plan,
    order_of_work,
    tell_page,
    usual_questions,
    why_not,
)
from tests.engine.test_cases import load
from tests.engine.test_invariants import CALM, cases
from tests.engine.worlds import random_case

NAMES = ["trade-impossible", "trade-third-unit", "medium-003", "medium-005", "large-001"]


def shuffled(case, seed):
    """The case with every order changed that means nothing."""
    rng = Random(seed)
    case = mixed_keys(deepcopy(case), rng)
    catalogue, boat, job = case["catalogue"], case["boat"], case["job"]
    lists = [catalogue["statements"], boat["locations"], boat["routes"], boat["devices"]]
    lists += [
        boat["cables"],
        job["requests"],
        *(job["switches"][k] for k in ("models", "locations")),
    ]
    lists += [
        model[key] for model in catalogue["models"].values() for key in ("updates", "successors")
    ]
    lists += [between["between"] for between in (*boat["routes"], *boat["cables"])]
    lists += [r[key] for r in job["requests"] for key in ("add", "by") if key in r]
    rules = [statement["rule"] for statement in catalogue["statements"]]
    selectors = [value for rule in rules for value in rule.values() if isinstance(value, dict)]
    lists += [one[key] for one in selectors for key in ("kinds", "models") if key in one]
    for one in lists:
        rng.shuffle(one)
    return case


def mixed_keys(value, rng):
    if isinstance(value, list):
        return [mixed_keys(item, rng) for item in value]
    if not isinstance(value, dict):
        return value
    keys = list(value)
    rng.shuffle(keys)
    return {key: mixed_keys(value[key], rng) for key in keys}


@pytest.mark.parametrize("name", NAMES)
def test_shuffled_case_gives_the_same_bytes(name):
    case, _ = load(name)
    first = json.dumps(answer_case(case))

    assert [json.dumps(answer_case(shuffled(case, seed))) for seed in range(3)] == [first] * 3


@pytest.mark.parametrize("seed", range(40))
def test_shuffled_random_case_gives_the_same_bytes(seed):
    case = random_case(seed, units=5, switches=2, adds=2, locations=4, models=6)

    assert json.dumps(answer_case(shuffled(case, seed))) == json.dumps(answer_case(case))


@CALM
@given(case=cases(), order=st.integers(0, 10**6))
def test_the_answer_is_the_same_in_any_order(case, order):
    other = shuffled(case, order)
    answer, again = answer_case(case), answer_case(other)

    assert json.dumps(again) == json.dumps(answer)
    assert tell_page(other, again) == tell_page(case, answer)
    if answer["feasible"]:
        plan = answer["strategies"]["newest"]
        steps = [order_of_work(one, plan) for one in (case, other)]
        assert json.dumps(steps[0]) == json.dumps(steps[1])


@pytest.mark.parametrize("seed", range(10))
def test_reasons_are_the_same_in_any_order(seed):
    case = random_case(seed, units=3, switches=1, adds=1, locations=3, models=4)
    other = shuffled(case, seed)
    answer = answer_case(case)
    plan = answer["strategies"]["cheapest"] if answer["feasible"] else None

    told = [explain_plan(one, plan) for one in (case, other)] if plan else [None, None]
    asked = [usual_questions(one, plan)[:3] for one in (case, other)] if plan else [[], []]

    assert json.dumps(told[0]) == json.dumps(told[1])
    assert asked[0] == asked[1]
    for question in asked[0]:
        why = [why_not(one, question["pin"], plan=plan) for one in (case, other)]
        assert json.dumps(why[0]) == json.dumps(why[1])


def test_a_run_with_another_hash_seed_gives_the_same_bytes(tmp_path):
    case = random_case(71, units=5, switches=2, adds=2, locations=4, models=6)
    path = tmp_path / "case.json"
    path.write_text(json.dumps(case), encoding="utf-8")

    outs = {
        subprocess.run(
            [sys.executable, "manage.py", "plan_case", "--json", str(path)],
            capture_output=True, check=True, cwd=settings.BASE_DIR,
            env=os.environ | {"PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip

    assert outs == {(json.dumps(answer_case(case), ensure_ascii=False) + "\n").encode()}


@pytest.mark.parametrize("seed", range(20))
def test_other_names_change_nothing_but_names(seed):
    case = random_case(seed, units=4, switches=1, adds=1, locations=3, models=5)
    names = {d["id"]: f"x{900 - n}" for n, d in enumerate(case["boat"]["devices"])}

    answer, again = answer_case(case), answer_case(renamed(case, names))

    assert again["feasible"] == answer["feasible"]
    if answer["feasible"]:
        assert totals(again) == totals(answer)
    else:
        assert again["relaxations"] == answer["relaxations"]


def renamed(case, names):
    case = deepcopy(case)
    for one in case["boat"]["devices"]:
        one["id"] = names[one["id"]]
    for request in case["job"]["requests"]:
        for key in ("network", "keep", "remove", "replace"):
            if key in request:
                request[key] = names[request[key]]
    return case


def totals(answer):
    return [plan["total_cents"] for plan in answer["options"]]
