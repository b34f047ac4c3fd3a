"""Ports: one link each, counted from 1, and kept where a cable stays between the same units."""

import pytest

from planner.engine import answer_case, assign_ports
from tests.engine.small import device, small_case
from tests.engine.worlds import random_case


def third_display():
    wish = {"id": "w", "add": ["plain"], "location": "console", "networked": True}
    case = small_case(requests=[wish])
    return case, answer_case(case)["strategies"]["cheapest"]


def test_links_take_the_lowest_free_port():
    case, plan = third_display()

    rows = assign_ports(case, plan)

    assert rows == [
        {"between": ["d1", "new1"], "ports": [1, 1], "cable": "buy:run-5", "feet": 5},
        {"between": ["d2", "new1"], "ports": [1, 2], "cable": "c1", "feet": 15},
        {"between": ["new1", "w"], "ports": [3, 1], "cable": "buy:run-5", "feet": 5},
    ]


def switched():
    devices = [device("d1"), device("d2", location="bow"), device("h", "hub", release=None)]
    devices.append(device("d3"))
    case = small_case(devices=devices, max_new=0)
    return case, answer_case(case)["strategies"]["keep_all"]


def ports_of(rows, cable):
    return next(row["ports"] for row in rows if row["cable"] == cable)


def test_a_cable_that_stays_keeps_its_ports():
    case, plan = switched()

    rows = assign_ports(case, plan, {"c1": {"d2": 1, "h": 4}})

    assert ports_of(rows, "c1") == [1, 4]
    assert sorted(row["ports"][1] for row in rows) == [1, 2, 4]


@pytest.mark.parametrize(
    "known",
    [
        {"c1": {"d1": 1, "h": 4}},
        {"c1": {"d2": 1}},
        {"c1": {"d2": 1, "h": 9}},
        {"c1": {"d2": 0, "h": 4}},
        {"c7": {"d2": 1, "h": 4}},
    ],
    ids=str,
)
def test_ports_that_do_not_fit_are_not_kept(known):
    case, plan = switched()

    assert assign_ports(case, plan, known) == assign_ports(case, plan)


@pytest.mark.parametrize("seed", range(40))
def test_ports_are_distinct_and_within_the_model(seed):
    case = random_case(seed, units=6, switches=2, adds=2, locations=4, models=6)
    for plan in answer_case(case).get("options", []):
        models = {row["unit"]: case["catalogue"]["models"][row["model"]] for row in plan["units"]}
        rows = assign_ports(case, plan)

        used = [end for row in rows for end in zip(row["between"], row["ports"], strict=True)]

        assert len(set(used)) == len(used) == 2 * len(plan["links"])
        assert all(1 <= port <= models[name]["ports"] for name, port in used)
