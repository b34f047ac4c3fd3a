"""Boats whose places cables cannot all join, with many units that pass traffic on."""

import time

import pytest

from planner.engine import answer_case
from planner.engine.crossings import ports_fall_short
from planner.engine.links import LinkSolver
from planner.engine.network import Wiring
from planner.engine.nodes import Node
from tests.engine.checker import faults_of
from tests.engine.oracle import everything
from tests.engine.worlds import islands_case

# Each of these took from eight seconds to minutes before islands and short ports were seen early.
ONCE_SLOW = [
    (0, {}),
    (6, {}),
    (8, {}),
    (2, {"units": 9, "wishes": 6}),
    (7, {"units": 9, "wishes": 6}),
    (6, {"units": 12, "wishes": 4}),
]


@pytest.mark.parametrize(("seed", "sizes"), ONCE_SLOW, ids=range(len(ONCE_SLOW)))
def test_what_once_took_long_is_answered_and_proven(seed, sizes):
    case = islands_case(seed, **sizes)
    start = time.process_time()

    answer = answer_case(case)

    assert time.process_time() - start < 5
    assert "proven" not in answer
    for plan in answer.get("options", []):
        assert faults_of(case, plan) == []


@pytest.mark.parametrize("seed", range(25))
def test_islands_agree_with_trying_everything(seed):
    case = islands_case(seed, units=3 + seed % 2, wishes=2, places=4, switches=1, adds=0, max_new=0)
    case["job"]["switches"]["models"] = []
    case["catalogue"]["statements"] = case["catalogue"]["statements"][:1]
    for model in case["catalogue"]["models"].values():
        model |= {"successors": [], "releases": [], "updates": [], "ships_with": None}
    for device in case["boat"]["devices"]:
        device["release"] = None
    for statement in case["catalogue"]["statements"]:
        statement["rule"] = {"at_most": 2, "of": {"kinds": ["display"]}}
    right = everything(case).answer(5)

    answer = answer_case(case)

    assert answer["feasible"] == right["feasible"]
    if answer["feasible"]:
        assert [plan["total_cents"] for plan in answer["options"]] == right["options"]
    else:
        assert answer["relaxations"] == right["relaxations"]


def line_of(places):
    """Places in a row, each joined to the next only."""
    every = range(places)
    near = tuple(tuple(0 if abs(a - b) == 1 else None for b in every) for a in every)
    none = tuple(tuple(0 for _ in every) for _ in every)
    return Wiring({}, (), {}, none, near)


def test_short_ports_in_the_middle_of_a_line_are_seen():
    wiring = line_of(5)
    nodes = [(place, 2) for place in range(5)]

    assert not ports_fall_short(wiring, nodes, (0, 0, 0, 0, 0))
    assert ports_fall_short(wiring, nodes, (0, 0, 1, 0, 0))


def test_what_falls_short_has_no_tree_and_what_does_not_is_left_to_the_search():
    wiring = line_of(5)
    solver = LinkSolver(wiring)
    nodes = tuple(Node(place, 2, 1, 0, 0) for place in range(5))

    assert solver.best(nodes, (0, 0, 0, 0, 0)) is not None
    assert solver.best(nodes, (0, 0, 1, 0, 0)) is None
