"""Feeding, updates, cables and the place of a unit.

Published: 33 CFR 183.410 (ignition), IEC 60529 (code figures). The rest of the values are common
practice of the trade, no source.
"""

import pytest

from planner.engine.sums import SumFault, run_sum
from planner.engine.sums.feeding import judge_holder
from tests.engine.checks.made import bank, facts, feed, one
from tests.engine.sums.tables import field_refused, rows_of, value

BLOCK = {"loads_amps": [3, 5, 7.5], "block_amps": 100, "circuit_amps": 30}


def test_a_fuse_block_adds_its_circuits_and_does_not_guess_the_cutoff():
    found = run_sum("fuse_block", BLOCK)
    assert found.values == {
        "verdict": "unknown", "why": "The cut-off's rating is not known.",
        "total_amps": 15.5, "circuits_over": [], "fits": None,
    }  # fmt: skip
    assert found.margin == {"block_amps": 84.5, "circuit_amps": 22.5, "cutoff_amps": None}
    assert "not known" in found.notes[0]


def test_a_fuse_block_fits_to_the_last_ampere_of_its_cutoff():
    assert value("fuse_block", "fits", **BLOCK, cutoff_amps=15.5) is True
    assert value("fuse_block", "fits", **BLOCK, cutoff_amps=15.4) is False


@pytest.mark.parametrize(
    ("amps", "verdict"), [(80, "good"), (80.1, "look"), (100, "look"), (100.1, "stop")]
)
def test_from_four_fifths_of_a_rating_on_a_second_look(amps, verdict):
    given = {"loads_amps": [amps], "block_amps": 100, "circuit_amps": 200, "cutoff_amps": 200}
    assert value("fuse_block", "verdict", **given) == verdict
    turned = {**given, "block_amps": 200, "cutoff_amps": 100}
    assert value("fuse_block", "verdict", **turned) == verdict


@pytest.mark.parametrize(("amps", "state"), [(80, "good"), (80.1, "look"), (100.1, "stop")])
def test_the_check_of_a_plan_judges_block_and_cutoff_by_the_same_rule(amps, state):
    given = facts(feeds=(feed(draw_a=amps),), banks=(bank(block_a=100, cutoff_a=100),))
    assert [one("block", given).state, one("cutoff", given).state] == [state, state]
    assert judge_holder(amps, 100) == state


def test_a_circuit_over_its_way_is_named_also_where_the_cutoff_is_not_known():
    over = {**BLOCK, "loads_amps": [3, 31, 5]}
    assert value("fuse_block", "circuits_over", **over) == [2]
    assert value("fuse_block", "fits", **over) is False
    assert field_refused("fuse_block", **{**BLOCK, "loads_amps": []}) == "loads_amps"
    assert field_refused("fuse_block", **{**BLOCK, "loads_amps": [3, -1]}) == "loads_amps[1]"
    assert field_refused("fuse_block", **{**BLOCK, "loads_amps": [1] * 61}) == "loads_amps"


def update(**changes):
    given = {
        "rested_volts": 12.6, "system_volts": 12, "chemistry": "lead", "charger": "no",
        "load_amps": 4, "round_trip_ft": 20, "awg": "10",
    }  # fmt: skip
    return run_sum("update_volts", given | changes).values


@pytest.mark.parametrize(
    ("rested", "charger", "holds"),
    [
        (12.6, "no", "yes"),
        (12.59, "no", "no"),
        (12.2, "yes", "yes"),
        (12.19, "yes", "no"),
        (12.4, "unknown", "unknown"),
        (12.6, "unknown", "yes"),
        (12.1, "unknown", "no"),
    ],
)
def test_lead_acid_holds_at_12_6_volts_or_at_12_2_with_a_charger_on(rested, charger, holds):
    assert update(rested_volts=rested, charger=charger)["holds"] == holds


def test_a_24_volt_bank_needs_double():
    assert update(rested_volts=25.2, system_volts=24)["holds"] == "yes"
    assert update(rested_volts=25.1, system_volts=24)["holds"] == "no"
    assert update(rested_volts=24.4, system_volts=24, charger="yes")["needed_volts"] == 24.4


def test_a_lithium_bank_is_never_judged_by_its_volts_but_nearly_empty_is_no():
    assert update(rested_volts=13.2, chemistry="lithium", charger="yes")["holds"] == "unknown"
    assert update(rested_volts=12.1, chemistry="lithium", charger="yes")["holds"] == "no"
    assert update(rested_volts=13.2, chemistry="unknown")["holds"] == "unknown"


def test_a_long_thin_wire_pulls_the_plug_under_the_least_volts():
    # 10.75 × 10 A × 60 ft / 1537 circular mils (18 AWG, SAE minimum) = 4.197 V
    found = update(load_amps=10, round_trip_ft=60, awg="18")
    assert found["plug_volts"] == pytest.approx(12.6 - 4.1965, abs=1e-3)
    assert found["holds"] == "no"
    assert update(load_amps=0)["plug_volts"] == 12.6


@pytest.mark.parametrize(
    ("route", "needed", "buy"),
    [(8, 10, 10), (8.1, 10.1, 15), (13, 15, 15), (20, 22, 30), (27, 29.7, 30), (28, 30.8, None)],
)
def test_a_cable_has_the_larger_slack_and_is_the_next_length_sold(route, needed, buy):
    given = {"route_ft": route, "sold_ft": [30, 5, 20, 10, 15]}
    assert value("cable_run", "needed_ft", **given) == pytest.approx(needed)
    assert value("cable_run", "buy_ft", **given) == buy


def test_over_100_metres_is_said():
    notes = run_sum("cable_run", {"route_ft": 320, "sold_ft": [500]}).notes
    assert notes[0].startswith("Over 100 m")


def links(*pairs):
    return [{"from": one, "to": other} for one, other in pairs]


def test_loops_are_named_and_a_tree_has_none():
    assert value("ethernet_loops", "loops", links=links("ab", "bc", "bd")) == []
    found = run_sum("ethernet_loops", {"links": links("ab", "bc", "ca")}).values
    assert [set(loop) for loop in found["loops"]] == [{"a", "b", "c"}]
    assert found["faults"][0].startswith("Loop over")
    twice = run_sum("ethernet_loops", {"links": links("ab", "ba")}).values
    assert twice["faults"] == ["Two cables join b and a: pull one of them."]
    self_made = run_sum("ethernet_loops", {"links": links("aa")}).values
    assert self_made["faults"] == ["A cable goes from a back to a: pull it."]
    assert field_refused("ethernet_loops", links=[{"from": "a"}]) == "links[0].to"


def ignition(**changes):
    given = {"fuel": "gasoline", "vapour": "yes", "protected": "no", "isolated": "none"}
    return value("ignition", "verdict", **given | changes)


def test_33_cfr_183_410_protected_isolated_or_two_feet_in_open_air():
    assert ignition() == "stop"
    assert ignition(protected="yes") == "good"
    assert ignition(isolated="bulkhead") == "good"
    assert ignition(isolated="level") == "good"
    assert ignition(isolated="open_air", distance_ft=2) == "good"
    assert ignition(isolated="open_air", distance_ft=1.9) == "stop"
    assert ignition(vapour="no") == "good"


@pytest.mark.parametrize("field", ["vapour", "protected", "isolated"])
def test_what_is_not_known_of_petrol_is_never_good(field):
    assert ignition(**{field: "unknown"}) == "unknown"
    assert ignition(fuel="diesel", vapour="unknown") == "unknown"


@pytest.mark.parametrize(
    ("one", "other", "metres", "stacked", "verdict"),
    [
        ("vhf", "gnss", 1, "no", "good"),
        ("gnss", "vhf", 0.9, "no", "stop"),
        ("vhf", "ais", 3, "no", "good"),
        ("ais", "vhf", 1, "no", "stop"),
        ("vhf", "ais", 1, "yes", "good"),
        ("vhf", "ais", 1, "unknown", "unknown"),
        ("ais", "gnss", 0.5, "yes", "stop"),
        ("gnss", "ais", 0.5, "yes", "stop"),
        ("vhf", "vhf", 1, "no", "good"),
        ("radar", "gnss", 5, "no", "unknown"),
        ("gnss", "gnss", 5, "no", "unknown"),
    ],
)
def test_antennas_stand_apart(one, other, metres, stacked, verdict):
    given = {"one": one, "other": other, "metres": metres, "stacked": stacked}
    assert value("separation", "verdict", **given) == verdict


@pytest.mark.parametrize(
    ("place", "ip", "verdict"),
    [
        ("dry", "unknown", "good"),
        ("splash", "IP54", "good"),
        ("splash", "IP53", "stop"),
        ("splash", "ipx7", "good"),
        ("wet", "IP66", "good"),
        ("wet", "IPX7", "look"),  # IEC 60529: immersion does not include jets
        ("wet", "IP66/67", "good"),
        ("wet", "IP65", "stop"),
        ("standing", "IP66", "stop"),  # IEC 60529: jets do not include immersion
        ("standing", "IPX6/IPX7", "good"),
        ("standing", "IP69K", "stop"),
        ("standing", "unknown", "unknown"),
        ("wet", "unknown", "unknown"),
        ("splash", "IP6X", "unknown"),
        ("unknown", "IP67", "look"),
        ("unknown", "IP54", "unknown"),
    ],
)
def test_the_code_suits_the_place_or_not(place, ip, verdict):
    assert value("splash", "verdict", place=place, ip=ip) == verdict


@pytest.mark.parametrize(
    "row", [row for row in rows_of("ip_code_digits") if row["digit_position"] == "second"],
    ids=lambda row: row["digit"],
)  # fmt: skip
def test_every_water_figure_of_iec_60529_is_read_by_its_meaning(row):
    # Jets (5, 6) and immersion (7, 8) go beyond splashing (4); 7 and 8 do not include 5 and 6.
    splash, wet, standing = (
        value("splash", "verdict", place=place, ip=f"IPX{row['digit']}")
        for place in ("splash", "wet", "standing")
    )
    means = row["meaning"]
    assert (splash == "good") is any(word in means for word in ("splashing", "jets", "immersion"))
    assert (wet == "good") is ("powerful jets" in means)
    assert (standing == "good") is ("immersion" in means)


@pytest.mark.parametrize(
    "row", [row for row in rows_of("ip_code_digits") if row["digit_position"] == "first"],
    ids=lambda row: row["digit"],
)  # fmt: skip
def test_every_first_figure_of_iec_60529_can_be_written_and_says_nothing_of_water(row):
    code = f"IP{row['digit']}4"
    assert value("splash", "verdict", place="splash", ip=code) == "good"
    assert field_refused("splash", place="splash", ip="IP74") == "ip"


def test_heat_is_held_against_what_the_unit_takes_and_half_known_is_not_known():
    assert value("splash", "verdict", place="dry", ip="IP67", place_c=60, unit_most_c=55) == "stop"
    assert value("splash", "verdict", place="dry", ip="IP67", place_c=50, unit_most_c=55) == "good"
    assert value("splash", "verdict", place="dry", ip="IP67", place_c=51, unit_most_c=55) == "look"
    assert value("splash", "verdict", place="dry", ip="IP67", place_c=55) == "unknown"


@pytest.mark.parametrize(
    "bad", ["67", "IP", "IP6", "IPA7", "JP67", "waterproof", "IP66/", "IP66-67", "/67"]
)
def test_what_is_no_ip_code_is_refused(bad):
    assert field_refused("splash", place="splash", ip=bad) == "ip"


def cutout(**changes):
    given = {
        "hole_width_mm": 210, "hole_height_mm": 125, "unit_width_mm": 210, "unit_height_mm": 125,
        "bezel_width_mm": 240, "bezel_height_mm": 150, "depth_there_mm": 140, "unit_depth_mm": 90,
    }  # fmt: skip
    return run_sum("cutout", given | changes)


def test_a_hole_fits_must_grow_is_too_large_or_too_shallow():
    assert cutout().values["verdict"] == "good"
    grown = cutout(hole_width_mm=200).values
    assert (grown["verdict"], grown["cut_width_mm"], grown["cut_height_mm"]) == ("look", 10, 0)
    assert cutout(hole_height_mm=150).values["verdict"] == "stop"
    assert cutout(depth_there_mm=139).values["verdict"] == "look"
    assert cutout(depth_there_mm=89).values["verdict"] == "stop"
    assert cutout(depth_there_mm=139).margin["depth_mm"] == -1
    with pytest.raises(SumFault, match="bezel cannot be smaller"):
        cutout(bezel_width_mm=200)


def compass(**given):
    return run_sum("compass_distance", given).values["verdict"]


def test_a_compass_asks_for_the_makers_distance_and_is_never_good_without_one():
    assert compass(there_cm=60, safe_cm=60) == "good"
    assert compass(there_cm=59, safe_cm=60) == "stop"
    assert compass(there_cm=90) == "look"
    assert compass(there_cm=89, safe_cm=None) == "unknown"
    assert value("compass_distance", "needed_cm", there_cm=40) == 90
    assert run_sum("compass_distance", {"there_cm": 70, "safe_cm": 60}).margin == {"there_cm": 10}


def circuit(**changes):
    given = {"continuous_amps": 3, "awg": "16", "inches": 6}
    return run_sum("circuit_fuse", given | changes)


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ({}, "good"),
        ({"maker_amps": 5}, "good"),
        ({"maker_amps": 5, "fitted_amps": 7.5}, "stop"),
        ({"maker_amps": 5, "fitted_amps": 3}, "look"),
        ({"fitted_amps": 2}, "stop"),
        ({"fitted_amps": 3}, "look"),
        ({"fitted_amps": 40, "maker_amps": 40}, "stop"),  # 16 AWG, 105 °C: 150 % of 25 A is 37.5 A
        ({"fitted_amps": 35, "maker_amps": 40}, "look"),
        ({"inches": None}, "unknown"),
        ({"inches": 0}, "good"),
        ({"inches": 7}, "good"),
        ({"inches": 8}, "unknown"),
        ({"inches": 40, "sheathed": "yes"}, "good"),
        ({"inches": 40.5, "sheathed": "yes"}, "stop"),
        ({"inches": 8, "sheathed": "no"}, "stop"),
        ({"continuous_amps": 90}, "stop"),
    ],
)
def test_33_cfr_183_455_the_fuse_of_a_circuit_by_unit_wire_and_place(changes, verdict):
    assert circuit(**changes).values["verdict"] == verdict


def test_the_fuse_of_a_circuit_comes_with_its_colour_and_what_is_left_to_the_wire():
    found = circuit()
    assert (found.values["amps"], found.values["colour"]) == (4, "pink")
    assert found.values["most_amps"] == 37.5
    assert found.margin == {"most_amps": 33.5}
    assert circuit(continuous_amps=60).values["colour"] == "large blade, clear"
    assert circuit(continuous_amps=90).values["amps"] is None
    assert circuit(engine_space=True, bundled=4).values["most_amps"] == pytest.approx(19.125)
