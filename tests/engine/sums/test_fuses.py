"""Fuses: sizes sold, colours, and which of them are from memory."""

import pytest

from planner.engine.sums import run_sum
from tests.engine.sums.tables import field_refused, notes, rows_of, value


@pytest.mark.parametrize("row", rows_of("blade_fuse_colours"), ids=lambda row: row["rating_A"])
def test_blade_fuse_colours_of_the_iso_8820_3_scheme(row):
    rating = float(row["rating_A"])
    if row["mark"] == "published":
        assert value("fuse_colour", "colour", amps=rating) == row["colour"]
    else:
        assert "from memory" in notes("fuse_colour", amps=rating)


@pytest.mark.parametrize(
    "row", rows_of("large_blade_fuse_colours"), ids=lambda row: row["rating_A"]
)
def test_large_blade_colours_are_told_as_memory(row):
    result = run_sum("fuse_colour", {"amps": int(row["rating_A"])})
    told = [result.values["colour"], *result.notes]
    assert any(row["colour"] in words for words in told)
    if float(row["rating_A"]) > 40:
        assert result.source == "from memory"


def test_the_number_on_the_fuse_stands_above_its_colour():
    assert "Read the number" in notes("fuse_colour", amps=3)


@pytest.mark.parametrize("amps", [13, 0.7, 45, 125])
def test_a_rating_that_is_not_sold_has_no_colour(amps):
    assert field_refused("fuse_colour", amps=amps) == "amps"


@pytest.mark.parametrize(
    ("load", "fuse"),
    [
        (0.3, 0.5),
        (0.4, 0.5),
        (0.8, 1),
        (1.6, 2),
        (2.4, 3),
        (3.2, 4),
        (6, 7.5),
        (6.1, 10),
        (8, 10),
        (12, 15),
        (12.01, 20),
        (24, 30),
        (32, 40),
        (33, 50),
        (80, 100),
    ],
)
def test_the_fuse_for_a_load_is_the_next_one_sold_from_125_per_cent(load, fuse):
    assert value("fuse_for_load", "amps", continuous_amps=load) == fuse


def test_above_the_largest_blade_fuse_there_is_none():
    result = run_sum("fuse_for_load", {"continuous_amps": 80.1})
    assert result.values == {"amps": None}
    assert result.margin == {"amps": None}
    assert "No blade fuse is sold" in result.notes[0]


def test_a_fuse_from_memory_says_so():
    assert "from memory" in notes("fuse_for_load", continuous_amps=40)
    assert "from memory" not in notes("fuse_for_load", continuous_amps=4)
    assert "common practice" in notes("fuse_for_load", continuous_amps=4)


def test_the_largest_fuse_takes_the_heat_of_its_place_into_account():
    given = {"awg": "10", "insulation_c": 105}
    assert value("largest_fuse", "amps", **given) == 90
    assert value("largest_fuse", "amps", **given, engine_space=True) == 76.5
    assert value("largest_fuse", "amps", **given, bundled=4) == 54


def test_the_largest_fuse_comes_with_its_place_and_the_law():
    said = notes("largest_fuse", awg="10", insulation_c=105)
    assert "7 in of it, or within 40 in" in said
    assert "Never a larger fuse to stop one from blowing" in said
    assert "gasoline inboard" in said
