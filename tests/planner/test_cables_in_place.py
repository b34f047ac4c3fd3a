"""Links of equal cost are chosen so that cables stay where they are."""

import pytest

from planner.cables_in_place import leave_cables, settle_links

SWITCH = {"kind": "switch", "ports": 5, "bridges": True, "adapter": None}
DISPLAY = {"kind": "display", "ports": 1, "bridges": False, "adapter": "adapter-x"}


def case_of(cables: dict[str, tuple[str, str]], places: dict[str, str] | None = None) -> dict:
    at = places or {}
    return {
        "catalogue": {"models": {"sw": SWITCH, "d": DISPLAY}},
        "boat": {
            "cables": [
                {
                    "id": name,
                    "between": [at.get(a, "console"), at.get(b, "console")],
                    "ends": {a: 1, b: 1},
                }
                for name, (a, b) in cables.items()
            ]
        },
    }


def plan_of(links: dict[tuple[str, str], str], places: dict[str, str] | None = None) -> dict:
    names = sorted({name for pair in links for name in pair})
    at = places or {}
    return {
        "units": [
            {
                "unit": name,
                "model": "sw" if name.startswith("sw") else "d",
                "location": at.get(name, "console"),
                "networked": True,
            }
            for name in names
        ],
        "links": [{"between": list(pair), "cable": cable} for pair, cable in links.items()],
    }


def told(plan: dict) -> dict[tuple[str, ...], str]:
    return {tuple(sorted(link["between"])): link["cable"] for link in plan["links"]}


def test_a_plan_without_cables_in_place_is_left_alone() -> None:
    plan = plan_of({("d1", "sw1"): "buy:run-5", ("d2", "sw1"): "buy:run-5"})
    assert told(settle_links(case_of({}), plan)) == told(plan)


def test_cables_are_not_swapped_between_links_of_one_place() -> None:
    case = case_of({"N1": ("d1", "sw1"), "N2": ("d2", "sw1")})
    plan = plan_of({("d1", "sw1"): "N2", ("d2", "sw1"): "N1"})
    assert told(settle_links(case, plan)) == {("d1", "sw1"): "N1", ("d2", "sw1"): "N2"}


def test_units_stay_at_the_switch_that_they_are_on() -> None:
    wired = {"N1": ("d1", "sw1"), "N2": ("d2", "sw1"), "N3": ("d3", "sw2"), "N4": ("sw1", "sw2")}
    plan = plan_of(
        {("d1", "sw2"): "N1", ("d2", "sw1"): "N2", ("d3", "sw1"): "N3", ("sw1", "sw2"): "N4"}
    )
    settled = settle_links(case_of(wired), plan)
    assert told(settled) == {
        ("d1", "sw1"): "N1",
        ("d2", "sw1"): "N2",
        ("d3", "sw2"): "N3",
        ("sw1", "sw2"): "N4",
    }


def test_a_switch_never_falls_below_two_links() -> None:
    wired = {"N1": ("d1", "sw1"), "N2": ("sw1", "sw2")}
    plan = plan_of({("d1", "sw2"): "buy:run-5", ("d2", "sw1"): "buy:run-5", ("sw1", "sw2"): "N1"})
    settled = told(settle_links(case_of(wired), plan))
    assert settled == {
        ("d1", "sw2"): "buy:run-5",
        ("d2", "sw1"): "buy:run-5",
        ("sw1", "sw2"): "N2",
    }


def test_links_to_another_place_are_not_exchanged() -> None:
    places = {"d1": "bow"}
    case = case_of({"N1": ("d1", "sw1")}, places)
    plan = plan_of({("d1", "sw1"): "N1", ("d2", "sw1"): "buy:run-5"}, places)
    assert told(settle_links(case, plan)) == told(plan)


@pytest.mark.parametrize("answer", [{"feasible": False, "conflict": []}, {"feasible": None}])
def test_an_answer_without_plans_passes_through(answer: dict) -> None:
    assert leave_cables(case_of({}), answer) == answer
