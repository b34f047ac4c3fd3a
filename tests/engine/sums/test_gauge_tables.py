"""33 CFR 183.425 Table 5 and notes 1 and 2, ASTM B258 and SAE areas: whole tables."""

import pytest

from planner.engine.sums import run_sum
from planner.engine.sums.gauges import IN_TABLE_5, RATINGS_C, SOLD
from tests.engine.sums.tables import field_refused, notes, rows_of, value

TABLE_5 = rows_of("cfr_183_425_table5_ampacity")
NOTE_1 = rows_of("cfr_183_425_note1_engine_space_factor")
BOTH_NOTES = rows_of("ampacity_105C_engine_space_and_bundles")
AREAS = rows_of("awg_area")
BUNDLES = {"up_to_2": (1, 2), "3": (3,), "4_to_6": (4, 6), "7_to_24": (7, 24), "25_plus": (25, 99)}


@pytest.mark.parametrize("row", TABLE_5, ids=lambda row: row["awg"])
def test_every_cell_of_table_5(row):
    found = {
        rating: value("ampacity", "amps", awg=row["awg"], insulation_c=rating)
        for rating in RATINGS_C
    }
    assert found == {rating: float(row[f"amps_at_insulation_{rating}C"]) for rating in RATINGS_C}


def test_table_5_has_the_gauges_of_the_law_and_no_others():
    assert tuple(row["awg"] for row in TABLE_5) == IN_TABLE_5
    assert set(IN_TABLE_5) - set(SOLD) == {"3"}


@pytest.mark.parametrize("row", NOTE_1, ids=lambda row: row["insulation_rating_C"])
def test_note_1_of_table_5_engine_spaces(row):
    rating = int(row["insulation_rating_C"])
    given = {"awg": "10", "insulation_c": rating}
    inside = value("ampacity", "amps", **given, engine_space=True)
    assert inside / value("ampacity", "amps", **given) == pytest.approx(float(row["factor"]))
    says_memory = f"of {rating} °C is from memory" in notes("ampacity", **given, engine_space=True)
    assert says_memory == row["mark"].startswith("memory")


@pytest.mark.parametrize("row", BOTH_NOTES, ids=lambda row: f"{row['awg']}-{row['condition']}")
def test_both_notes_together_at_105_degrees(row):
    for count in BUNDLES[row["condition"]]:
        given = {"awg": row["awg"], "insulation_c": 105, "bundled": count}
        assert value("ampacity", "amps", **given) == float(row["outside_engine_space_A"])
        inside = value("ampacity", "amps", **given, engine_space=True)
        assert inside == pytest.approx(float(row["inside_engine_space_A"]), abs=0.00501)


@pytest.mark.parametrize("row", rows_of("cfr_183_425_note2_bundle_factor"))
def test_note_2_of_table_5_from_its_least_to_its_most(row):
    least = int(row["current_carrying_conductors_min"])
    most = int(row["current_carrying_conductors_max"] or 999)
    for count in (least, most):
        amps = value("ampacity", "amps", awg="4/0", insulation_c=200, bundled=count)
        assert amps == pytest.approx(510 * float(row["factor"]))


def test_bundles_say_that_the_law_binds_from_50_volts_only():
    assert "under 50 V" in notes("ampacity", awg="14", insulation_c=105, bundled=3)
    assert "under 50 V" not in notes("ampacity", awg="14", insulation_c=105, bundled=2)


@pytest.mark.parametrize("row", AREAS, ids=lambda row: row["awg"])
def test_areas_of_every_gauge(row):
    exact = {"awg": row["awg"], "areas": "awg"}
    published = float(row["area_circular_mils_exact"])
    assert value("area", "circular_mils", **exact) == pytest.approx(published, abs=0.051)
    assert value("area", "mm2", **exact) == pytest.approx(float(row["area_mm2_exact"]), abs=6e-5)
    if row["sae_min_circular_mils"]:
        least = value("area", "circular_mils", awg=row["awg"], areas="sae")
        assert least == float(row["sae_min_circular_mils"])
        ratio = float(row["sae_over_awg_exact_ratio"])
        assert least / value("area", "circular_mils", **exact) == pytest.approx(ratio, abs=6e-5)
    else:
        assert field_refused("area", awg=row["awg"], areas="sae") == "awg"


@pytest.mark.parametrize("row", TABLE_5, ids=lambda row: row["awg"])
def test_the_largest_fuse_is_150_per_cent_of_table_5(row):
    for rating in RATINGS_C:
        given = {"awg": row["awg"], "insulation_c": rating}
        carried = float(row[f"amps_at_insulation_{rating}C"])
        assert value("largest_fuse", "amps", **given) == carried * 1.5
        assert value("largest_fuse", "amps_from_50_volts", **given) == carried


LARGER_WHEN_ROUNDED = {"16", "10", "8", "6", "4", "2", "1/0", "2/0"}
SMALLER_WHEN_ROUNDED = {"18", "14", "12", "1", "3/0"}


def test_the_rounded_areas_of_the_handbook_are_up_to_1_8_per_cent_off_the_exact_ones():
    off = {}
    for row in AREAS:
        if row["handbook_rounded_circular_mils"]:
            exact = value("area", "circular_mils", awg=row["awg"], areas="awg")
            off[row["awg"]] = float(row["handbook_rounded_circular_mils"]) / exact - 1
    assert max(map(abs, off.values())) == pytest.approx(0.0176, abs=0.0005)
    assert {awg for awg, share in off.items() if share > 1e-5} == LARGER_WHEN_ROUNDED
    assert {awg for awg, share in off.items() if share < -1e-5} == SMALLER_WHEN_ROUNDED


def test_a_need_between_exact_and_rounded_area_says_which_list_was_used():
    # 10 400 circular mils: 10 AWG by the handbook's 10 500, 8 AWG by the exact 10 383.
    given = {"amps": 10, "round_trip_ft": 10400 * 0.36 / 107.5, "volts": 12, "drop_percent": 3}
    needed = value("conductor", "circular_mils_needed", **given)
    assert needed == pytest.approx(10400)
    assert value("conductor", "awg_for_drop", **given, areas="awg") == "8"
    assert "ASTM B258" in run_sum("conductor", {**given, "areas": "awg"}).source
    assert "SAE J1127" in run_sum("conductor", given).source
