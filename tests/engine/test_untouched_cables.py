"""Cables that stay in their ports are left alone by the order of work."""

import json
from pathlib import Path

import pytest

from planner.engine import answer_case, assign_ports, order_of_work

CASES = Path(__file__).parent / "cases"


@pytest.fixture
def fifth_display():
    case = json.loads((CASES / "trade-fifth-display.json").read_text(encoding="utf-8"))
    return case, answer_case(case)["strategies"]["cheapest"]


def in_place(links):
    return {
        link["cable"]: dict(zip(link["between"], link["ports"], strict=True))
        for link in links
        if not link["cable"].startswith("buy:")
    }


def titles(steps, kind):
    return [step["title"] for step in steps if step["kind"] == kind]


def test_without_known_ports_every_cable_is_plugged_in(fifth_display):
    case, plan = fifth_display
    assert len(titles(order_of_work(case, plan), "cable")) == len(plan["links"])


def test_a_cable_known_to_be_in_its_ports_is_neither_plugged_nor_labelled(fifth_display):
    case, plan = fifth_display
    links = assign_ports(case, plan)
    known = in_place(links)
    assert known
    steps = order_of_work(case, plan, known_ports=known)
    assert len(titles(steps, "cable")) == len(links) - len(known)
    labelled = [title for title in titles(steps, "label") if title.startswith("Label both")]
    assert len(labelled) == len(links) - len(known)


def test_a_cable_that_moves_to_another_port_is_plugged_in_again(fifth_display):
    case, plan = fifth_display
    known = in_place(assign_ports(case, plan))
    cable = sorted(known)[0]
    moved = dict.fromkeys(known[cable], 9)
    steps = order_of_work(case, plan, known_ports=known | {cable: moved})
    assert any(cable in title for title in titles(steps, "cable"))


def test_labour_of_the_steps_still_adds_up(fifth_display):
    case, plan = fifth_display
    known = in_place(assign_ports(case, plan))
    steps = order_of_work(case, plan, known_ports=known)
    assert sum(step["minutes"] for step in steps) == plan["labour_minutes"]
