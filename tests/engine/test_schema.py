"""The published schema: it takes every right case, and never refuses what the planner takes."""

import json
from copy import deepcopy
from pathlib import Path
from random import Random

import jsonschema
import pytest

import planner.engine
from planner.engine import CaseFault, check_case
from planner.engine.limits import MOST
from tests.engine.small import small_case, statement
from tests.engine.test_cases import NAMES, load
from tests.engine.worlds import random_case

SCHEMA = json.loads(
    (Path(planner.engine.__file__).parent / "schema" / "refit-case-1.schema.json").read_text(
        encoding="utf-8"
    )
)
CHECK = jsonschema.Draft202012Validator(SCHEMA)
ODD = [None, -1, 1.5, True, "", "x", [], {}, 10**13, [1], {"a": 1}, "new1", "dc_limit"]


def test_it_is_a_schema():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("name", NAMES)
def test_it_takes_every_kept_case(name):
    assert list(CHECK.iter_errors(load(name)[0])) == []


def places(value, path=()):
    yield path
    if isinstance(value, dict | list):
        for key, item in value.items() if isinstance(value, dict) else enumerate(value):
            yield from places(item, (*path, key))


def broken(case, rng):
    """The case with one value changed or left out."""
    case = deepcopy(case)
    path = rng.choice([p for p in places(case) if p])
    holder = case
    for step in path[:-1]:
        holder = holder[step]
    if rng.random() < 0.3:
        del holder[path[-1]]
    else:
        holder[path[-1]] = rng.choice(ODD)
    return case


@pytest.mark.parametrize("seed", range(12))
def test_what_it_refuses_the_planner_refuses(seed):
    rng = Random(seed)
    case = random_case(seed) if seed % 2 else small_case(
        statements=[
            statement("a", {"at_most": 1, "of": {"kinds": ["display"]}}),
            statement("b", {"before": {"kinds": ["display"]}, "then": {"kinds": ["radar"]}}),
        ],
        requests=[{"id": "r", "replace": "d1", "by": ["wide"]}],
    )  # fmt: skip
    refused = 0
    for _ in range(25):
        bad = broken(case, rng)
        if not CHECK.is_valid(bad):
            refused += 1
            with pytest.raises(CaseFault):
                check_case(bad)
    assert refused


def test_its_bounds_are_the_planner_s():
    parts = SCHEMA["$defs"]
    boat, job = parts["boat"]["properties"], parts["job"]["properties"]
    found = {key: boat[key]["maxItems"] for key in ("locations", "routes", "devices", "cables")}
    found["requests"] = job["requests"]["maxItems"]
    found["max_new"] = job["switches"]["properties"]["max_new"]["maximum"]
    found["models"] = parts["catalogue"]["properties"]["models"]["maxProperties"]
    found["parts"] = parts["catalogue"]["properties"]["fuses"]["maxProperties"]
    found["statements"] = parts["catalogue"]["properties"]["statements"]["maxItems"]
    found["releases"] = parts["model"]["properties"]["releases"]["maxItems"]
    found["updates"] = parts["model"]["properties"]["updates"]["maxItems"]

    assert found == {key: MOST[key] for key in found}
