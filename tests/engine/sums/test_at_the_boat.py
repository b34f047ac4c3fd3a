"""Feeding, updates, cables and the place of a unit.

Published: 33 CFR 183.410 (ignition), IEC 60529 (code figures). The rest of the values are common
practice of the trade, no source.
"""

import pytest

from planner.engine.sums import SumFault, run_sum
from tests.engine.sums.tables import field_refused, rows_of, value

BLOCK = {"loads_amps": [3, 5, 7.5], "block_amps": 100, "circuit_amps": 30}


def test_a_fuse_block_adds_its_circuits_and_does_not_guess_the_cutoff():
    found = run_sum("fuse_block", BLOCK)
    assert found.values == {"total_amps": 15.5, "circuits_over": [], "fits": None}
    assert found.margin == {"block_amps": 84.5, "circuit_amps": 22.5, "cutoff_amps": None}
    assert "not known" in found.notes[0]


def test_a_fuse_block_fits_to_the_last_ampere_of_its_cutoff():
    assert value("fuse_block", "fits", **BLOCK, cutoff_amps=15.5) is True
    assert value("fuse_block", "fits", **BLOCK, cutoff_amps=15.4) is False


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
        ("wet", "IP66", "stop"),  # IEC 60529: jets do not include immersion
        ("wet", "IPX7", "good"),
        ("wet", "IP69K", "stop"),
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
    # Jets (5, 6) and immersion (7, 8) go beyond splashing (4); only immersion is standing water.
    splash = value("splash", "verdict", place="splash", ip=f"IPX{row['digit']}")
    wet = value("splash", "verdict", place="wet", ip=f"IPX{row['digit']}")
    means = row["meaning"]
    assert (splash == "good") is any(word in means for word in ("splashing", "jets", "immersion"))
    assert (wet == "good") is ("immersion" in means)


def test_heat_is_held_against_what_the_unit_takes_and_half_known_is_not_known():
    assert value("splash", "verdict", place="dry", ip="IP67", place_c=60, unit_most_c=55) == "stop"
    assert value("splash", "verdict", place="dry", ip="IP67", place_c=55, unit_most_c=55) == "good"
    assert value("splash", "verdict", place="dry", ip="IP67", place_c=55) == "unknown"


@pytest.mark.parametrize("bad", ["67", "IP", "IP6", "IPA7", "JP67", "waterproof"])
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
    assert cutout(depth_there_mm=139).values["verdict"] == "stop"
    with pytest.raises(SumFault, match="bezel cannot be smaller"):
        cutout(bezel_width_mm=200)
