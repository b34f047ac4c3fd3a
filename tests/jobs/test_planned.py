"""What a plan buys and does: the same money and minutes as the planner's own."""

import pytest

from planner import engine
from planner.plans import plan_columns
from shopapp.jobs.services.planned import bought_of, distance_ft, work_of
from shopapp.jobs.services.wording import Names, names_of, told_apart, wishes_of, work_words
from tests.factories.jobs import third_display


def world(**models) -> dict:
    case = third_display()
    for code, facts in models.items():
        case["catalogue"]["models"][code.replace("_", "-")] |= facts
    return case


def plans(case: dict) -> list[dict]:
    return [column.plan for column in plan_columns(engine.answer_case(case))]


def replacing() -> dict:
    """The same boat, with d1 to be replaced by the other model."""
    case = world(disp_q={"fuse_ma": 5000})
    case["catalogue"]["fuses"]["FU-5"] = {"ma": 5000, "price_cents": 100}
    case["job"]["requests"] = [{"id": "wish-1", "replace": "d1", "by": ["disp-r"]}]
    return case


def dropping_in() -> dict:
    case = replacing()
    case["catalogue"]["models"]["disp-q"]["mount"] = "hole-9"
    return case


CASES = [third_display, replacing, dropping_in]


@pytest.mark.parametrize("case_of", CASES)
def test_the_minutes_of_the_lines_are_those_of_the_plan(case_of):
    case = case_of()

    for plan in plans(case):
        assert sum(item.minutes for item in work_of(case, plan)) == plan["labour_minutes"]


@pytest.mark.parametrize("case_of", CASES)
def test_the_prices_of_the_parts_are_those_of_the_plan(case_of):
    case = case_of()

    for plan in plans(case):
        sums = sum(item.count * item.price_cents for item in bought_of(case, plan))
        assert sums == plan["parts_cents"]


def said(case: dict) -> list[str]:
    plan = plans(case)[0]
    return [work_words(item, names_of(case)) for item in work_of(case, plan)]


def test_another_footprint_is_taken_out_and_fitted_anew():
    words = said(replacing())

    assert "Take out Bench Display Q at console" in words
    assert "Fit Bench Display R at console" in words
    assert "Change the fuse for Bench Display R at console" in words


def test_the_same_footprint_is_swapped():
    words = said(dropping_in())

    assert "Swap Bench Display Q for Bench Display R on the same holes, console" in words
    assert not any(word.startswith("Take out") for word in words)


def test_equipment_comes_before_small_parts():
    case = third_display()

    kinds = [item.equipment for item in bought_of(case, plans(case)[0])]

    assert kinds == sorted(kinds, reverse=True)


def test_each_part_says_what_it_is_for():
    case = third_display()

    for plan in plans(case):
        for item in bought_of(case, plan):
            assert item.why
            assert "wish-" not in item.why


def test_the_shortest_way_counts():
    case = third_display()
    case["boat"]["locations"].append("well")
    case["boat"]["routes"] += [
        {"between": ["console", "well"], "feet": 3},
        {"between": ["well", "bow"], "feet": 4},
    ]

    assert distance_ft(case, "console", "bow") == 7
    assert distance_ft(case, "bow", "bow") == 0


def test_without_a_way_there_is_no_distance():
    case = third_display()
    case["boat"]["routes"] = []

    with pytest.raises(ValueError, match="no way from console to bow"):
        distance_ft(case, "console", "bow")


def test_equal_titles_are_told_apart():
    titles = told_apart(["Keep", "Keep", "Keep", "Add"], [["newest"], [], [], []])

    assert titles == ["Keep (newest firmware)", "Keep", "Keep (2)", "Add"]


def test_a_wish_reads_as_a_title():
    case = third_display()
    case["job"]["requests"] += [
        {"id": "wish-2", "network": "d9"},
        {"id": "wish-3", "remove": "d8"},
        {"id": "wish-4", "keep": "d1"},
    ]

    assert wishes_of(case) == "Fit Bench Display R at bow, network d9 and take out d8"


def test_without_kept_names_the_ids_stand_in():
    assert Names({}, {}).model("disp-r") == "disp-r"
    assert Names({}, {}).part("CA-5") == "CA-5"
