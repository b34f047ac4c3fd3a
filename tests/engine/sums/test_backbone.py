"""The backbone as a whole: worked by hand, fed at an end, in the middle, twice; and its faults."""

import pytest

from planner.engine.sums import run_sum
from tests.engine.sums.networks import line
from tests.engine.sums.tables import notes, value


def solved(drawing):
    return run_sum("backbone", drawing).values


def kinds(drawing):
    return {fault["kind"]: fault["place"] for fault in solved(drawing)["fault_places"]}


def told(drawing):
    found = solved(drawing)
    assert found["faults"] == [fault["message"] for fault in found["fault_places"]]
    return " ".join(found["faults"])


SOUND = line(6, 6, drops=[(0, 2, 4), (2, 3, 10)], feeds=[(1, 12.4)])


def test_a_backbone_worked_by_hand():
    found = solved(SOUND)
    assert (found["nodes"], found["len"], found["expected_ohms"]) == (2, 14, 60)
    ohm = 2 * 0.053
    assert found["node_volts"] == pytest.approx(
        {"unit0": 12.4 - ohm * 8 * 0.2, "unit1": 12.4 - ohm * 9 * 0.5}
    )
    assert found["worst_volts"] == found["node_volts"]["unit1"]
    assert found["bus_drop_volts"] == pytest.approx(0.1 * 10 * 9 * 0.053)
    assert found["faults"] == []


def test_feeding_the_middle_or_both_ends_lifts_the_worst_node():
    load = [(0, 1, 5), (1, 1, 5), (2, 1, 5), (3, 1, 5), (4, 1, 5)]
    worst = {
        name: solved(line(10, 10, 10, 10, drops=load, feeds=feeds))["worst_volts"]
        for name, feeds in {
            "end": [(0, 12)], "middle": [(2, 12)], "both": [(0, 12), (4, 12)],
        }.items()
    }  # fmt: skip
    assert worst["end"] < worst["middle"]
    assert worst["end"] < worst["both"]
    assert worst["end"] == pytest.approx(12 - 0.106 * (10 * (1 + 0.75 + 0.5 + 0.25) + 0.25))


def test_two_equal_feeds_share_the_load_by_symmetry():
    found = solved(line(10, 10, drops=[(1, 2, 20)], feeds=[(0, 12), (2, 12)]))
    assert found["tee_volts"]["T1"] == pytest.approx(12 - 0.106 * 10 * 0.5)


def test_with_two_feeds_the_bus_drop_counts_each_unit_from_its_nearer_one():
    drawing = line(10, 10, 10, drops=[(1, 1, 4), (2, 2, 6)], feeds=[(0, 12), (3, 12)])
    assert solved(drawing)["bus_drop_volts"] == pytest.approx(0.1 * 6 * 12 * 0.053)
    far = line(10, 10, 10, drops=[(1, 1, 4), (2, 2, 6)], feeds=[(0, 12)])
    assert solved(far)["bus_drop_volts"] == pytest.approx(0.1 * 10 * 22 * 0.053)


def test_each_side_of_a_middle_feed_has_its_own_bus_drop():
    drawing = line(10, 10, drops=[(0, 1, 4), (1, 6, 20), (2, 1, 5)], feeds=[(1, 12)])
    assert solved(drawing)["bus_drop_volts"] == pytest.approx(0.1 * 20 * 6 * 0.053)


def test_unequal_feeds_push_current_from_the_higher_to_the_lower():
    found = solved(line(10, 10, feeds=[(0, 13), (2, 12)]))
    assert found["tee_volts"]["T1"] == pytest.approx(12.5)
    assert found["worst_volts"] is None
    assert "Feed once" in notes("backbone", **line(10, 10, feeds=[(0, 13), (2, 12)]))


def test_cables_differ_and_an_own_one_may_be_given():
    drops = [(1, 1, 10)]
    light, mid, own = (
        solved(line(10, drops=drops, cable=cable))["worst_volts"]
        for cable in ("light", "mid", {"ohm_per_m": 0.053})
    )
    assert light == own < mid


def test_tees_may_be_numbered():
    drawing = {
        "segments": [{"from": 1, "to": 2, "metres": 3}],
        "drops": [{"tee": 2, "metres": 1, "unit": 7, "len": 1}],
        "feeds": [{"tee": 1, "volts": 12}],
        "terminators": [1, 2],
        "cable": "light",
    }
    assert solved(drawing)["faults"] == []
    assert list(solved(drawing)["node_volts"]) == ["7"]


def test_the_margin_to_every_limit():
    margin = run_sum("backbone", SOUND).margin
    assert margin["volts"] == pytest.approx(solved(SOUND)["worst_volts"] - 9)
    assert (margin["nodes"], margin["drops_metres"]) == (48, 73)
    assert margin["backbone_metres"] == pytest.approx(100 - 17)


def test_a_ring_is_named_by_its_tees_and_leaves_volts_unknown():
    drawing = line(5, 5, 5, drops=[(1, 1, 1)])
    drawing["segments"].append({"from": "T3", "to": "T1", "metres": 5})
    assert kinds(drawing)["ring"] == "T3, T2, T1"
    assert "Ring over tees T3 – T2 – T1 – T3" in told(drawing)
    found = solved(drawing)
    assert found["node_volts"] == {"unit0": None}
    assert found["worst_volts"] is found["bus_drop_volts"] is found["backbone_metres"] is None
    assert "not known while a ring stands" in notes("backbone", **drawing)


def test_two_segments_between_the_same_tees_are_a_ring_and_so_is_one_to_itself():
    drawing = line(5, 5)
    drawing["segments"].append({"from": "T1", "to": "T0", "metres": 4})
    assert set(kinds(drawing)["ring"].split(", ")) == {"T0", "T1"}
    drawing["segments"][-1] = {"from": "T1", "to": "T1", "metres": 4}
    assert kinds(drawing)["ring"] == "T1"


def test_networks_that_are_not_joined_are_named_and_the_unfed_one_is_not_known():
    drawing = line(5, drops=[(1, 1, 1)])
    drawing["segments"].append({"from": "X", "to": "Y", "metres": 5})
    drawing["drops"].append({"tee": "Y", "metres": 1, "unit": "lonely", "len": 2})
    assert kinds(drawing)["not_joined"] == "T0, T1; X, Y"
    assert kinds(drawing)["no_feed"] == "X, Y"
    found = solved(drawing)
    assert found["node_volts"]["lonely"] is None
    assert found["node_volts"]["unit0"] < 12
    assert found["worst_volts"] is found["expected_ohms"] is None


def test_two_networks_joined_show_by_their_four_terminators():
    drawing = line(5, 5, 5, terminators=(0, 1, 2, 3))
    assert "4 terminators (on T0, T1, T2, T3), not two" in told(drawing)
    assert "Two networks joined" in told(drawing)
    assert solved(drawing)["expected_ohms"] == 30


def test_a_unit_on_two_tees_joins_two_networks():
    drawing = line(5, 5, drops=[(0, 1, 1), (2, 1, 1)])
    drawing["drops"][1]["unit"] = "unit0"
    assert kinds(drawing)["unit_twice"] == "unit0 on tees T0 and T2"
    assert solved(drawing)["nodes"] == 1
    assert solved(drawing)["node_volts"]["unit0"] == solved(drawing)["worst_volts"]


def test_an_unknown_tee_is_named_with_what_hangs_on_it():
    drawing = line(5, drops=[(9, 1, 1)], feeds=[(0, 12), (8, 12)], terminators=(0, 7))
    faults = [
        fault["message"]
        for fault in solved(drawing)["fault_places"]
        if fault["kind"] == "unknown_tee"
    ]
    assert [fault.split(":")[0] for fault in faults] == [
        "Unknown tee T9", "Unknown tee T8", "Unknown tee T7",
    ]  # fmt: skip
    assert "the drop to unit0" in faults[0]
    assert solved(drawing)["node_volts"] == {"unit0": None}


def test_a_drop_longer_than_six_metres_is_named():
    assert "drop_too_long" not in kinds(line(20, 20, drops=[(1, 6, 1)]))
    assert kinds(line(20, 20, drops=[(1, 6.1, 1)]))["drop_too_long"] == "unit0 on tee T1"
    assert "has 6.1 m; at most 6 m" in told(line(20, 20, drops=[(1, 6.1, 1)]))


def test_all_drops_together_have_at_most_78_metres():
    fits = line(20, 20, drops=[(1, 6, 1)] * 13)
    assert "drops_too_long" not in kinds(fits)
    over = line(20, 20, drops=[(1, 6, 1)] * 13 + [(1, 0.5, 1)])
    assert kinds(over)["drops_too_long"] == "all drops"
    assert "have 78.5 m; at most 78 m" in told(over)


def test_tenths_of_metres_add_up_to_the_limit_and_not_over_it():
    drops = [(1, 5.2, 1)] * 15
    assert "drops_too_long" not in kinds(line(20, 20, drops=drops))
    assert "backbone_too_long" not in kinds(line(*[0.2] * 500, feeds=[(250, 12)]))


@pytest.mark.parametrize(("cable", "limit"), [("light", 100), ("mid", 250), ("heavy", 200)])
def test_the_backbone_has_a_limit_by_its_cable(cable, limit):
    assert "backbone_too_long" not in kinds(line(limit - 50, 50, cable=cable))
    over = line(limit - 50, 50.5, cable=cable)
    assert kinds(over)["backbone_too_long"] in {"tee T0 to tee T2", "tee T2 to tee T0"}
    assert ("from memory" in told(over)) == (cable == "mid")


def test_a_drop_at_the_end_counts_where_it_is_longer_than_the_way_to_the_terminator():
    assert solved(line(40, 40, drops=[(0, 4, 1), (2, 3, 1)]))["backbone_metres"] == 87
    inner = line(2, 60, 2, drops=[(1, 5, 1), (2, 1, 1)])
    assert solved(inner)["backbone_metres"] == 64 + 5 - 2
    assert kinds(line(50, 48, drops=[(2, 3, 1)]))["backbone_too_long"]


def test_the_limit_of_a_cable_given_by_its_ohms_is_not_known():
    drawing = line(400, 400, cable={"ohm_per_m": 0.001})
    assert "backbone_too_long" not in kinds(drawing)
    assert run_sum("backbone", drawing).margin["backbone_metres"] is None
    assert "is not known: ask its maker" in notes("backbone", **drawing)


def test_fifty_one_nodes_are_one_too_many():
    fits = line(5, 5, drops=[(1, 0.5, 1)] * 50)
    assert "too_many_nodes" not in kinds(fits)
    over = line(5, 5, drops=[(1, 0.5, 1)] * 51)
    assert kinds(over)["too_many_nodes"] == "unit50 on tee T1"
    assert "51 nodes; at most 50" in told(over)


@pytest.mark.parametrize(
    ("terminators", "words", "ohms"),
    [
        ((), "0 terminators (on no tee), not two", None),
        ((0,), "1 terminator (on T0), not two", 120),
        ((0, 1), "The terminator on tee T1 is not at an end; the ends are T0, T2", 60),
        ((0, 0), "Tee T0 has 2 terminators: one belongs at each end (T0, T2)", 60),
        ((0, 2, 1), "3 terminators (on T0, T2, T1), not two", 40),
    ],
)
def test_terminators_are_two_and_at_the_ends(terminators, words, ohms):
    drawing = line(5, 5, terminators=terminators)
    assert words in told(drawing)
    assert solved(drawing)["expected_ohms"] == ohms


def test_a_node_under_nine_volts_is_named_with_its_volts():
    drawing = line(20, 20, drops=[(1, 2, 1), (2, 2, 20)])
    assert "unit1 on tee T2 gets 7.44 V; a node needs 9 V" in told(drawing)
    assert kinds(drawing) == {"low_volts": "unit1 on tee T2"}
    assert "low_volts" not in kinds(line(5, 5, drops=[(2, 1, 2)]))


def test_a_feed_over_16_volts_is_named():
    assert kinds(line(5, feeds=[(0, 24)]))["high_volts"] == "T0"
    assert "high_volts" not in kinds(line(5, feeds=[(0, 16)]))


def test_a_backbone_without_a_feed_has_no_voltage():
    drawing = line(5, drops=[(0, 1, 1)], feeds=[])
    assert "not fed anywhere" in told(drawing)
    assert solved(drawing)["worst_volts"] is solved(drawing)["bus_drop_volts"] is None


def test_a_device_that_takes_over_an_ampere_is_named():
    assert kinds(line(5, drops=[(0, 1, 21)]))["too_much_draw"] == "unit0"
    assert "too_much_draw" not in kinds(line(5, drops=[(0, 1, 20)]))


def test_the_usual_fuse_of_a_light_cable_is_told():
    said = "takes 3 A"
    assert said in notes("backbone", **line(1, drops=[(0, 1, 20)] * 3 + [(0, 1, 1)]))
    assert said not in notes("backbone", **line(1, drops=[(0, 1, 20)] * 3))


def test_a_branch_is_told_as_meant_to_be_one_line():
    drawing = line(5, 5)
    drawing["segments"].append({"from": "T1", "to": "T3", "metres": 2})
    assert "branches at T1" in notes("backbone", **drawing)
    assert "branches" not in notes("backbone", **line(5, 5))


def test_the_worked_case_of_eighteen_units_at_the_far_end():
    drawing = line(12, drops=[(1, 0.001, 18)], feeds=[(0, 12.4)], cable={"ohm_per_m": 0.057})
    assert value("backbone", "worst_volts", **drawing) == pytest.approx(12.4 - 1.23, abs=0.005)
    assert value("backbone", "bus_drop_volts", **drawing) == pytest.approx(1.23, abs=0.005)
