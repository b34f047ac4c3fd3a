"""A shop's own rules: stricter holds, looser is refused by its field, nothing is brought back."""

import pytest

from planner.engine.sums import SumFault, run_sum
from planner.engine.sums.judged import both_areas, conductor_by_rules, judge_by_rules
from planner.engine.sums.local_rules import LIMITS, LocalRules, check_local_rule, read_local_rules
from tests.engine.sums.networks import line

STRICTER = {
    "drop_percent": 2, "other_drop_percent": 8, "fuse_percent": 100, "fuse_load_percent": 150,
    "bus_drop_volts": 1.5, "bus_lowest_volts": 10, "slack_ft": 3, "slack_percent": 15,
    "compass_m": 1,
}  # fmt: skip
LOOSER = {
    "drop_percent": 3.1, "other_drop_percent": 11, "fuse_percent": 151, "fuse_load_percent": 120,
    "bus_drop_volts": 1.7, "bus_lowest_volts": 8.9, "slack_ft": 1, "slack_percent": 9,
    "compass_m": 0.5,
}  # fmt: skip


def refused(**rules):
    with pytest.raises(SumFault) as caught:
        read_local_rules(**rules)
    return caught.value


def test_every_built_in_rule_is_tried_here():
    assert set(STRICTER) == set(LOOSER) == set(LIMITS)


@pytest.mark.parametrize("name", LIMITS)
def test_stricter_holds_equal_holds_looser_is_refused_with_words(name):
    assert read_local_rules(**{name: STRICTER[name]}).value(name) == STRICTER[name]
    assert check_local_rule(name, LIMITS[name].value) == LIMITS[name].value
    fault = refused(**{name: LOOSER[name]})
    assert fault.field == name
    assert "may only be stricter" in fault.message


@pytest.mark.parametrize("name", LIMITS)
@pytest.mark.parametrize("bad", [0, -1, float("nan"), float("inf"), "3", True, [], 1e9])
def test_what_is_no_figure_is_refused(name, bad):
    assert refused(**{name: bad}).field == name


def test_figures_that_cannot_be_meant_are_refused_though_stricter():
    assert refused(drop_percent=0.01).field == "drop_percent"
    assert refused(bus_lowest_volts=17).field == "bus_lowest_volts"
    assert refused(areas="din").field == "areas"
    assert refused(bus_limit="mine").field == "bus_limit"
    assert refused(smallest_awg="7").field == "smallest_awg"
    assert refused(colour=3).field == "colour"


def test_where_the_shop_says_nothing_the_built_in_rule_stands():
    rules = read_local_rules()
    assert rules == LocalRules()
    assert all(rules.value(name) == limit.value for name, limit in LIMITS.items())
    assert not any(rules.is_own(name) for name in LIMITS)


def test_the_guide_chosen_moves_the_limit_of_the_backbone():
    # 1.5 V for a battery supply, 3.0 V for an isolated one: as public installation guides print it
    assert read_local_rules(bus_limit="battery").value("bus_drop_volts") == 1.5
    assert read_local_rules(bus_limit="isolated", bus_drop_volts=2.5).value("bus_drop_volts") == 2.5
    assert refused(bus_limit="battery", bus_drop_volts=1.6).field == "bus_drop_volts"


def conductor(**changes):
    given = {"amps": 10, "round_trip_ft": 20, "volts": 12, "drop_percent": 3}
    return run_sum("conductor", given | changes)


def test_a_stricter_drop_asks_for_a_thicker_wire():
    # 10.75 × 10 × 20 / 0.36 = 5972 circular mils: 10 AWG by SAE areas; at 1 % 17917: 6 AWG
    found = conductor()
    assert found.values["awg"] == "10"
    assert conductor_by_rules(found, read_local_rules(drop_percent=1)) == "6"
    [answer] = judge_by_rules("conductor", found, read_local_rules(drop_percent=1))
    assert (answer.tone, answer.own, answer.words) == ("look", True, "At 1 % drop: 6 AWG.")
    assert judge_by_rules("conductor", found, LocalRules()) == []


def test_more_drop_than_any_rule_allows_is_stopped():
    found = conductor(drop_percent=12)
    [answer] = judge_by_rules("conductor", found, LocalRules())
    assert (answer.tone, answer.own) == ("stop", False)
    ten = conductor(drop_percent=10)
    assert judge_by_rules("conductor", ten, LocalRules()) == []


def test_a_smallest_size_is_kept():
    found = conductor(amps=1, round_trip_ft=6)
    rules = read_local_rules(smallest_awg="14")
    assert found.values["awg"] == "18"
    assert conductor_by_rules(found, rules) == "14"
    assert judge_by_rules("conductor", found, rules)[0].name == "smallest_awg"
    thin = run_sum("ampacity", {"awg": "16", "insulation_c": 105})
    assert judge_by_rules("ampacity", thin, rules)[0].tone == "stop"
    unsold = run_sum("ampacity", {"awg": "3", "insulation_c": 105})
    assert judge_by_rules("ampacity", unsold, rules) == []


def test_both_lists_of_areas_are_told_where_they_differ():
    # 10 A, 20 ft, 12 V, 3 %: 5972 circular mils; 12 AWG has 6530 exact, 5833 by the SAE minimum
    assert both_areas(conductor()) == {"sae": "10", "awg": "12"}


def test_a_fuse_by_the_shops_own_share():
    found = run_sum("largest_fuse", {"awg": "16", "insulation_c": 105})
    [answer] = judge_by_rules("largest_fuse", found, read_local_rules(fuse_percent=100))
    assert answer.words == "At 100 % of the ampacity: 25 A."
    load = run_sum("fuse_for_load", {"continuous_amps": 4})
    [answer] = judge_by_rules("fuse_for_load", load, read_local_rules(fuse_load_percent=150))
    assert answer.words == "At 150 % of the load: 7.5 A."
    assert judge_by_rules("fuse_for_load", load, LocalRules()) == []


def test_the_fuse_of_a_circuit_is_held_against_the_shops_own_share():
    rules = read_local_rules(fuse_percent=100, fuse_load_percent=150)
    fitted = {"continuous_amps": 3, "awg": "16", "inches": 6, "maker_amps": 30, "fitted_amps": 30}
    found = run_sum("circuit_fuse", fitted)
    assert [each.tone for each in judge_by_rules("circuit_fuse", found, rules)] == ["look", "stop"]
    plain = run_sum("circuit_fuse", {"continuous_amps": 4, "awg": "16", "inches": 6})
    said = [each.words for each in judge_by_rules("circuit_fuse", plain, rules)]
    assert said == ["At 100 % of the ampacity: 25 A.", "At 150 % of the load: 7.5 A."]
    assert judge_by_rules("circuit_fuse", plain, LocalRules()) == []


@pytest.mark.parametrize(("there", "tone"), [(99, "stop"), (100, "look")])
def test_the_shops_own_distance_to_a_compass_counts_where_the_maker_says_none(there, tone):
    rules = read_local_rules(compass_m=1)
    found = run_sum("compass_distance", {"there_cm": there})
    assert [each.tone for each in judge_by_rules("compass_distance", found, rules)] == [tone]
    told = run_sum("compass_distance", {"there_cm": there, "safe_cm": 50})
    assert judge_by_rules("compass_distance", told, rules) == []


def test_a_backbone_is_held_against_both_limits():
    found = run_sum("backbone", line(5, 5, drops=[(1, 2, 3)]))
    tones = [each.tone for each in judge_by_rules("backbone", found, LocalRules())]
    assert tones == ["good", "good"]
    strict = read_local_rules(bus_drop_volts=0.1, bus_lowest_volts=16)
    assert {each.tone for each in judge_by_rules("backbone", found, strict)} >= {"stop"}
    lost = run_sum("bus_drop", {"len": 20, "metres": 20, "ohm_per_m": 0.053})
    assert judge_by_rules("bus_drop", lost, LocalRules())[0].tone == "stop"


def test_more_slack_buys_the_next_cable():
    found = run_sum("cable_run", {"route_ft": 8, "sold_ft": [10, 15]})
    [answer] = judge_by_rules("cable_run", found, read_local_rules(slack_ft=3))
    assert answer.words.endswith("buy 15 ft.")


def test_sums_without_a_rule_have_no_answer():
    assert judge_by_rules("mmsi", run_sum("mmsi", {"text": "366123456"}), LocalRules()) == []
