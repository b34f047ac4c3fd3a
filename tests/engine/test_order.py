"""The same case gives the same answer, byte for byte, however its file is arranged."""

import json
from copy import deepcopy
from random import Random

import pytest

from planner.engine import answer_case
from tests.engine.test_cases import load
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
