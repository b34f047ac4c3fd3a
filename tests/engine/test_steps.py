"""The order of work: nothing needs what comes later, minutes add up, cautions stand first."""

import pytest

from planner.engine import answer_case, order_of_work
from tests.engine.small import device, small_case, statement
from tests.engine.test_cases import NAMES, load
from tests.engine.worlds import random_case

ORDER = (
    "caution",
    "backup",
    "update",
    "power:off",
    "remove",
    "fit",
    "cable",
    "fuse",
    "power",
    "reading",
    "light",
    "check",
    "label",
)
KEYS = ["kind", "title", "detail", "unit", "minutes", "caution", "expect", "step_key"]
SAFE = {"dc_volts": 12, "fuel": "diesel", "chemistry": "agm"}


def work_of(case, context=None):
    plan = answer_case(case)["strategies"]["cheapest"]
    return order_of_work(case, plan, context), plan


def stage_of(step):
    return "power:off" if step["step_key"] == "power:off" else step["kind"]


def assert_lawful(steps, plan):
    kinds = [ORDER.index(stage_of(step)) for step in steps]
    assert kinds == sorted(kinds)
    assert sum(step["minutes"] for step in steps) == plan["labour_minutes"]
    keys = [step["step_key"] for step in steps]
    assert len(set(keys)) == len(keys)
    for step in steps:
        assert list(step) == KEYS
        assert step["title"]
        assert step["detail"]
        assert step["caution"] == (step["kind"] == "caution")
        if step["expect"]:
            assert list(step["expect"]) == ["label", "unit", "low", "high", "text"]


@pytest.mark.parametrize("name", NAMES)
def test_work_of_a_kept_case_is_in_order_and_adds_up(name):
    case, expected = load(name)
    answer = answer_case(case)
    plans = [plan for plan in answer["strategies"].values() if plan] if expected["feasible"] else []

    for plan in plans:
        assert_lawful(order_of_work(case, plan), plan)

    assert bool(plans) == expected["feasible"]


@pytest.mark.parametrize("seed", range(60))
def test_work_of_a_random_case_is_in_order_and_adds_up(seed):
    case = random_case(seed, units=6, switches=2, adds=2, locations=4, models=6)
    answer = answer_case(case)

    for plan in answer.get("options", []):
        assert_lawful(order_of_work(case, plan), plan)


def titles(steps, kind):
    return [step["title"] for step in steps if step["kind"] == kind]


def test_a_third_display_is_worked_off_in_words():
    wish = {"id": "w", "add": ["plain"], "location": "console", "networked": True}
    case = small_case(requests=[wish])

    steps, _ = work_of(case, SAFE)

    assert titles(steps, "fit") == ["Fit plain (w, console)", "Fit hub (new1, console)"]
    assert titles(steps, "cable") == [
        "Pull new cable run-5, 5 ft: d1:1 to new1:1",
        "Plug in the cable aboard c1, 15 ft: d2:1 to new1:2",
        "Pull new cable run-5, 5 ft: new1:3 to w:1",
    ]
    assert titles(steps, "fuse") == [
        "Put a 3 A fuse in the feed of plain (w, console)",
        "Put a 1 A fuse in the feed of hub (new1, console)",
    ]
    assert titles(steps, "light") == [f"Look at port {n} of new1" for n in (1, 2, 3)]
    assert "Cap ports 4 and 5 of hub (new1, console)" in titles(steps, "label")


def test_each_display_is_to_list_all_others_with_their_release():
    steps, _ = work_of(small_case(), SAFE)

    expected = [step["expect"]["text"] for step in steps if step["kind"] == "check"]

    assert expected == ["d2 plain at 1.0", "d1 plain at 1.0"]


def test_backups_come_before_every_update_of_an_existing_unit():
    rule = {"only": {"min_release": {"plain": "1.4"}}, "of": {}}
    steps, _ = work_of(small_case(statements=[statement("s", rule)]))

    assert titles(steps, "backup") == [
        "Back up plain (d1, console)",
        "Back up plain (d2, bow)",
    ]
    assert titles(steps, "update")[0] == "Update plain (d1, console) at the boat from 1.0 to 1.4"


def test_new_units_are_updated_on_the_bench():
    wish = {"id": "w", "add": ["plain"], "location": "console", "networked": True}
    rule = {"only": {"min_release": {"plain": "2.0"}}, "of": {}}
    case = small_case(requests=[wish], statements=[statement("s", rule)])
    case["catalogue"]["models"]["plain"]["ships_with"] = "1.4"

    steps, _ = work_of(case)

    assert "Update plain (w, console) on the bench from 1.4 to 2.0" in titles(steps, "update")


def test_the_general_cautions_stand_on_every_order():
    steps, _ = work_of(small_case(), SAFE)

    assert titles(steps, "caution") == [
        "Batteries, chargers and shore power off before any unit or wire is touched",
        "A fuse protects the wire",
    ]


@pytest.mark.parametrize(
    ("context", "shown"),
    [
        ({}, {"Gasoline vapour", "Lithium bank"}),
        ({"fuel": None, "chemistry": None, "dc_volts": None}, {"Gasoline vapour", "Lithium bank"}),
        ({"fuel": "gasoline", "chemistry": "lifepo4"}, {"Gasoline vapour", "Lithium bank"}),
        ({"fuel": "diesel", "chemistry": "agm"}, set()),
        ({"fuel": "diesel", "chemistry": "who knows"}, {"Lithium bank"}),
    ],
)
def test_what_is_not_known_of_the_boat_is_cautioned_as_if_present(context, shown):
    steps, _ = work_of(small_case(), context)

    assert {"Gasoline vapour", "Lithium bank"} & set(titles(steps, "caution")) == shown


def test_unknown_volts_are_to_be_measured_first():
    steps, _ = work_of(small_case())

    assert "measure them first" in steps[0]["detail"]


def test_touching_a_radar_brings_standby_and_aloft():
    case = small_case(requests=[{"id": "r", "remove": "d2"}])
    case["catalogue"]["models"]["dome"] = case["catalogue"]["models"]["sonar"] | {"kind": "radar"}
    case["boat"]["devices"][1]["model"] = "dome"

    steps, _ = work_of(case)

    assert {"Radar to standby and locked off", "Work aloft"} <= set(titles(steps, "caution"))


def test_a_swap_on_the_same_holes_needs_no_drill():
    case = small_case(requests=[{"id": "r", "replace": "d1", "by": ["wide"]}])

    steps, _ = work_of(case)

    assert "Know what is behind before drilling" not in titles(steps, "caution")
    assert "Keep the compass distance" in titles(steps, "caution")
    assert titles(steps, "fuse") == ["Put a 5 A fuse in the feed of wide (d1, console)"]


def test_volts_at_the_plug_are_stated_for_the_bank():
    wish = {"id": "w", "add": ["plain"], "location": "console", "networked": False}
    steps, _ = work_of(small_case(requests=[wish]), SAFE)

    reading = next(step for step in steps if step["kind"] == "reading")

    assert reading["expect"] == {
        "label": "Volts at the plug under load",
        "unit": "V",
        "low": 11.8,
        "high": 14.6,
        "text": "within 3 % of the volts at the battery",
    }


def test_units_that_leave_the_network_are_unplugged_and_spare_cables_capped():
    rule = {"at_most": 0, "of": {"kinds": ["display"]}}
    steps, _ = work_of(small_case(statements=[statement("s", rule)]))

    assert titles(steps, "remove") == [
        "Take plain (d1, console) off the network",
        "Take plain (d2, bow) off the network",
    ]
    assert titles(steps, "label") == ["Label and cap the spare cable c1"]


def test_a_disconnected_switch_is_unplugged():
    devices = [device("d1"), device("d2", location="bow"), device("h", "hub", release=None)]

    steps, _ = work_of(small_case(devices=devices, max_new=0))

    assert titles(steps, "remove") == ["Disconnect hub (h, console) and leave it in place"]
