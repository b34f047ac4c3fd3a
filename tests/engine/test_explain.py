"""Whole sentences, as a customer hears them."""

import pytest

from planner.engine import answer_case, tell_conflict, tell_options, tell_page
from tests.engine.small import device, small_case, statement
from tests.engine.test_cases import NAMES, load


def test_nothing_to_do_is_said_plainly():
    case = small_case()

    assert tell_options(case, answer_case(case))[0] == (
        "The cheapest way: nothing needs to change. $0.00 in all."
    )


def test_a_third_display_is_told_in_one_sentence():
    wish = {"id": "w", "add": ["plain"], "location": "console", "networked": True}
    case = small_case(requests=[wish])

    assert tell_options(case, answer_case(case))[0] == (
        "The cheapest way: fit a new plain at console and a new hub at console and pull "
        "2 × run-5. $937.00 in all."
    )


def test_a_dearer_option_says_how_much_more():
    case = small_case(max_new=0)

    told = tell_options(case, answer_case(case))

    assert told[1] == (
        "For $400.00 more: leave plain (d1, console) off the network. $400.00 in all."
    )


def test_swaps_updates_and_partings_are_told():
    devices = [
        device("d1"),
        device("d2", location="bow"),
        device("d3"),
        device("d4", networked=False),
        device("h", "hub", release=None),
    ]
    requests = [
        {"id": "a", "replace": "d1", "by": ["wide"]},
        {"id": "b", "remove": "d3"},
        {"id": "c", "network": "d4"},
    ]
    rule = {"only": {"min_release": {"plain": "1.4"}}, "of": {"kinds": ["display"]}}
    case = small_case(
        devices=devices, requests=requests, statements=[statement("s", rule)], routes=[], max_new=0
    )
    case["boat"]["cables"] = []

    told = tell_options(case, answer_case(case))[0]

    assert told == (
        "The cheapest way: put a wide in place of the plain (d1) at console, take out plain "
        "(d3, console), leave plain (d2, bow) off the network, put plain (d4, console) on the "
        "network, leave hub (h, console) disconnected, update d4 and pull 1 × run-5. "
        "$1,405.95 in all."
    )


def test_a_replaced_unit_off_the_network_is_told_apart():
    case = small_case(requests=[{"id": "a", "replace": "d1", "by": ["wide"]}], max_new=0)

    told = tell_options(case, answer_case(case))

    assert told[1] == (
        "For $400.00 more: put a wide in place of the plain (d1) at console, off the network. "
        "$1,330.95 in all."
    )


def test_a_conflict_names_what_clashes_and_each_way_out():
    rule = {"at_most": 1, "of": {"kinds": ["display"]}}
    case = small_case(
        statements=[statement("s", rule)],
        requests=[{"id": "a", "network": "d1"}, {"id": "b", "network": "d2"}],
    )

    assert tell_conflict(case, answer_case(case)) == (
        "No plan meets everything asked. These cannot all hold together: the wish for plain "
        "(d1, console) on the network (a), the wish for plain (d2, bow) on the network (b) and "
        "“Rule s.” (s; bench, 2026-01-02). A plan is found as soon as one of these is given up: "
        "the wish for plain (d1, console) on the network (a); or the wish for plain (d2, bow) on "
        "the network (b); or “Rule s.” (s; bench, 2026-01-02)."
    )


def test_limits_and_other_wishes_have_names_too():
    requests = [
        {"id": "a", "keep": "d1"},
        {"id": "b", "add": ["plain", "wide"], "location": "bow", "networked": False},
        {"id": "c", "remove": "d2"},
        {"id": "d", "replace": "d1", "by": ["wide"]},
    ]
    case = small_case(requests=requests, dc_limit_ma=2500)
    answer = {"feasible": False, "conflict": ["a", "b", "c", "d", "dc_limit", "max_new"]}

    told = tell_conflict(case, answer | {"relaxations": []})

    assert told == (
        "No plan meets everything asked. These cannot all hold together: the wish to keep plain "
        "(d1, console) (a), the wish for plain or wide at bow, off the network (b), the wish to "
        "take out plain (d2, bow) (c), the wish for wide in place of plain (d1, console) (d), the "
        "power limit of 2.5 A and the limit of 1 new switch. Giving up any two of all the wishes "
        "and rules is not enough."
    )


def test_a_feasible_answer_has_no_conflict_to_tell():
    case = small_case()

    assert tell_conflict(case, answer_case(case)) == ""


def test_strategies_that_chose_the_same_plan_share_a_line():
    case = small_case(requests=[{"id": "w", "replace": "d1", "by": ["wide"]}])

    lines = tell_page(case, answer_case(case)).splitlines()

    assert lines[0] == (
        "The cheapest, the cheapest that keeps every unit aboard and on the network and the one "
        "that touches the fewest units (option 1): $930.95 in all: parts $900.95, labour 30 min; "
        "1 unit touched, 1 not at the last release."
    )
    assert lines[1].startswith("The one with the newest firmware: $960.95 in all")


def test_what_clashes_and_each_way_out_stand_on_lines_of_their_own():
    wishes = [{"id": "k", "keep": "d1"}, {"id": "r", "remove": "d1"}]
    case = small_case(requests=wishes)

    assert tell_page(case, answer_case(case)).splitlines() == [
        "No plan meets everything asked. These cannot all hold together:",
        "  - the wish to keep plain (d1, console) (k)",
        "  - the wish to take out plain (d1, console) (r)",
        "There is a plan as soon as any one of these is given up:",
        "  - the wish to keep plain (d1, console) (k)",
        "  - the wish to take out plain (d1, console) (r)",
    ]


def test_ways_out_that_need_two_are_told_as_pairs():
    wishes = [{"id": "k", "keep": "d1"}, {"id": "r", "remove": "d1"},
              {"id": "s", "remove": "d1"}]  # fmt: skip
    case = small_case(requests=wishes)

    page = tell_page(case, answer_case(case))

    assert "There is a plan too once both of these are given up:\n  - the wish to take" in page
    assert "(r), together with the wish to take out plain (d1, console) (s)" in page


@pytest.mark.parametrize("name", NAMES)
def test_every_kept_case_has_a_page(name):
    case, expected = load(name)
    answer = answer_case(case)

    page = tell_page(case, answer)

    if expected["feasible"]:
        assert page.count("Option ") == len(expected["options"])
        assert len(set(tell_options(case, answer))) == len(answer["options"])
    else:
        assert page.startswith("No plan meets everything asked.")
