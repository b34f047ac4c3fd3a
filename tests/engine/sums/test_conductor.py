"""Conductor sizes: both area lists, heat, what is beyond 4/0, cautions and margins."""

import pytest

from planner.engine.sums import run_sum
from planner.engine.sums.gauges import SAE_MINIMUM
from tests.engine.sums.tables import notes, value

HELM = {"amps": 10, "round_trip_ft": 21, "volts": 12, "drop_percent": 3}


def test_the_handbook_example_by_both_area_lists():
    assert value("conductor", "circular_mils_needed", **HELM) == pytest.approx(6270.83, abs=0.01)
    assert value("conductor", "awg", **HELM, areas="awg") == "12"
    assert value("conductor", "awg", **HELM) == "10"


def test_where_the_lists_ask_for_different_wires_both_are_told():
    assert "By the exact AWG areas the drop alone asks for 12 AWG." in notes("conductor", **HELM)
    assert "SAE minimum areas the drop alone asks for 10" in notes("conductor", **HELM, areas="awg")
    same = {**HELM, "amps": 5}
    assert "the drop alone asks" not in notes("conductor", **same)


def test_the_drop_told_is_that_of_the_wire_chosen():
    found = run_sum("conductor", HELM).values
    assert found["drop_volts"] == pytest.approx(10.75 * 10 * 21 / 9343)
    assert found["drop_percent"] == pytest.approx(found["drop_volts"] / 12 * 100)


def test_the_margin_is_what_is_left_of_drop_and_current():
    margin = run_sum("conductor", HELM).margin
    assert margin["drop_percent"] == pytest.approx(3 - 2.01354, abs=1e-5)
    assert margin["amps"] == 50


def test_defaults_stand_behind_what_is_left_out():
    result = run_sum("conductor", HELM)
    said = {**HELM, "areas": "sae", "insulation_c": 105, "engine_space": False, "bundled": 2}
    assert result.inputs == said
    assert run_sum("conductor", said) == result


def test_a_need_beyond_4_0_is_null_and_says_so():
    long_run = {**HELM, "amps": 400, "round_trip_ft": 200}
    result = run_sum("conductor", long_run)
    assert result.values["awg_for_drop"] is None
    assert result.values["awg_for_current"] == "4/0"
    assert result.values["awg"] is result.values["drop_volts"] is None
    assert result.margin == {"drop_percent": None, "amps": None}
    assert "drop asks for more than 4/0" in " ".join(result.notes)
    hot = {**HELM, "amps": 500, "round_trip_ft": 1}
    assert value("conductor", "awg_for_current", **hot) is None
    assert "current asks for more than 4/0" in notes("conductor", **hot)


def test_engine_space_and_bundles_only_touch_the_size_for_current():
    given = {"amps": 60, "round_trip_ft": 4, "volts": 12, "drop_percent": 10}
    plain = run_sum("conductor", given).values
    hot = run_sum("conductor", {**given, "engine_space": True, "bundled": 4}).values
    assert plain["awg_for_drop"] == hot["awg_for_drop"]
    assert (plain["awg_for_current"], hot["awg_for_current"]) == ("10", "6")


def test_a_current_equal_to_the_ampacity_fits():
    bundle = {"awg": "14", "insulation_c": 105, "bundled": 3}
    assert value("ampacity", "amps", **bundle) == 24.5
    given = {"amps": 24.5, "round_trip_ft": 1, "volts": 12, "drop_percent": 10, "bundled": 3}
    assert value("conductor", "awg_for_current", **given) == "14"


@pytest.mark.parametrize("gauge", list(SAE_MINIMUM))
@pytest.mark.parametrize("feet", range(5, 200, 15))
def test_an_area_equal_to_the_need_fits_whatever_the_machine_rounds(gauge, feet):
    amps = SAE_MINIMUM[gauge] * 12 * 0.03 / (10.75 * feet)
    given = {"amps": amps, "round_trip_ft": feet, "volts": 12, "drop_percent": 3}
    assert value("conductor", "awg_for_drop", **given) == gauge


@pytest.mark.parametrize(
    ("given", "caution"),
    [
        ({**HELM, "volts": 120}, "From 50 V other rules"),
        ({**HELM, "amps": 0.5}, "circuits under 1 A"),
        ({**HELM, "drop_percent": 10}, "10 % only where the drop is not critical"),
        ({**HELM, "amps": 2}, "18 AWG only inside a sheath"),
        ({**HELM, "bundled": 3}, "under 50 V it is taken because it was asked for"),
        ({**HELM, "engine_space": True, "insulation_c": 60}, "75 °C or more, oil resistant"),
        (HELM, "An estimate, not a survey"),
    ],
)
def test_cautions_stand_beside_the_result(given, caution):
    assert caution in notes("conductor", **given)


def test_metric_and_inch_rules_stay_apart_by_nine_per_cent():
    feet, metres = 20 / 0.3048, 20
    area = value("area", "mm2", awg="10", areas="awg")
    iso = value("metric_drop", "drop_volts", amps=10, both_ways_m=metres, mm2=area)
    mils = value("area", "circular_mils", awg="10", areas="awg")
    assert 10.75 * 10 * feet / mils / iso == pytest.approx(1.09, abs=0.002)
    assert "9 % more copper" in notes("metric_drop", amps=10, both_ways_m=20, mm2=4)


def test_thin_metric_wire_is_warned_of():
    assert "at least 1 mm²" in notes("metric_drop", amps=1, both_ways_m=2, mm2=0.75)
    assert "at least 1 mm²" not in notes("metric_drop", amps=1, both_ways_m=2, mm2=1)
