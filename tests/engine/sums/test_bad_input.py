"""What cannot be used is refused by its field, in words; nothing is clamped, rounded or guessed."""

import math

import pytest

from planner.engine.sums import SUMS, SumFault, run_sum
from tests.engine.sums.networks import line
from tests.engine.sums.tables import field_refused, value

SOUND = {
    "area": {"awg": "10", "areas": "sae"},
    "conductor": {
        "amps": 10, "round_trip_ft": 20, "volts": 12, "drop_percent": 3, "areas": "sae",
        "insulation_c": 105, "engine_space": False, "bundled": 2,
    },
    "ampacity": {"awg": "10", "insulation_c": 105, "engine_space": False, "bundled": 2},
    "metric_drop": {"amps": 10, "both_ways_m": 6, "mm2": 4},
    "largest_fuse": {"awg": "10", "insulation_c": 105, "engine_space": False, "bundled": 2},
    "fuse_for_load": {"continuous_amps": 4},
    "fuse_colour": {"amps": 3},
    "bus_units": {"draw_ma": 151},
    "bus_drop": {"len": 10, "metres": 20, "ohm_per_m": 0.053},
    "bus_ohms": {"terminators": 2},
    "backbone": line(5, 5, drops=[(1, 2, 3)]),
    "switch_chain": {"switches": 2, "ports_each": 5},
    "link_speed": {"mbit_a": [10, 100], "mbit_b": [100, 1000]},
    "bend_radius": {"diameter_mm": 6},
    "sentence": {"text": "$HEHDT,178.3,T*22"},
    "compass": {"field_ut": 18, "kind": "standard"},
    "hull_number": {"text": "XQZ12345A626"},
    "mmsi": {"text": "366123456"},
    "standby": {"draw_ma": 50, "bank_ah": 100, "usable_percent": 50},
    "circuit_fuse": {
        "continuous_amps": 3, "maker_amps": 5, "fitted_amps": 5, "awg": "16", "insulation_c": 105,
        "engine_space": False, "bundled": 2, "inches": 6, "sheathed": "yes",
    },
    "wire_colour": {"circuit": "dc_positive"},
    "poe_power": {"poe_type": 2},
    "compass_distance": {"there_cm": 90, "safe_cm": 60},
    "fuse_block": {
        "loads_amps": [3, 5], "block_amps": 100, "circuit_amps": 30, "cutoff_amps": 150,
    },
    "update_volts": {
        "rested_volts": 12.7, "system_volts": 12, "chemistry": "lead", "charger": "no",
        "load_amps": 4, "round_trip_ft": 20, "awg": "10",
    },
    "cable_run": {"route_ft": 12, "slack_ft": 2, "slack_percent": 10, "sold_ft": [5, 10, 15]},
    "ethernet_loops": {"links": [{"from": "a", "to": "b"}]},
    "ignition": {
        "fuel": "gasoline", "vapour": "yes", "protected": "no", "isolated": "open_air",
        "distance_ft": 3,
    },
    "separation": {"one": "vhf", "other": "ais", "metres": 3, "stacked": "no"},
    "splash": {"place": "splash", "ip": "IP67", "place_c": 45, "unit_most_c": 55},
    "cutout": {
        "hole_width_mm": 200, "hole_height_mm": 120, "unit_width_mm": 210, "unit_height_mm": 125,
        "bezel_width_mm": 240, "bezel_height_mm": 150, "depth_there_mm": 200, "unit_depth_mm": 90,
        "plug_mm": 60,
    },
}  # fmt: skip
FIELDS = [(name, field) for name, given in SOUND.items() for field in given]
NUMBERS = [
    (name, field)
    for name, field in FIELDS
    if isinstance(SOUND[name][field], int | float) and not isinstance(SOUND[name][field], bool)
]
ZERO_IS_A_VALUE = {
    ("bus_units", "draw_ma"), ("update_volts", "load_amps"), ("cable_run", "slack_ft"),
    ("cable_run", "slack_percent"), ("ignition", "distance_ft"),
    ("circuit_fuse", "inches"),
}  # fmt: skip
NULL_IS_NOT_KNOWN = {
    ("fuse_block", "cutoff_amps"), ("splash", "place_c"), ("splash", "unit_most_c"),
    ("circuit_fuse", "maker_amps"), ("circuit_fuse", "fitted_amps"), ("circuit_fuse", "inches"),
    ("compass_distance", "safe_cm"),
}  # fmt: skip
RATINGS = {"insulation_c", "system_volts", "poe_type"}


def refused(name, field, bad):
    return field_refused(name, **{**SOUND[name], field: bad})


def test_every_sum_is_tried_here():
    assert set(SOUND) == set(SUMS)
    for name, given in SOUND.items():
        assert set(given) == {quantity.name for quantity in SUMS[name].inputs}
        assert field_refused(name, **given) is None


@pytest.mark.parametrize(("name", "field"), NUMBERS)
@pytest.mark.parametrize(
    "bad",
    [
        -1,
        -0.5,
        -math.inf,
        math.inf,
        math.nan,
        pytest.param(10**400, id="huge"),
        pytest.param(-(10**400), id="huge-below-zero"),
        1e300,
        True,
        False,
        None,
        "10",
        "",
        [],
        {},
        [10],
    ],
)
def test_no_number_field_takes_what_is_no_usable_number(name, field, bad):
    expected = None if bad is None and (name, field) in NULL_IS_NOT_KNOWN else field
    assert refused(name, field, bad) == expected


@pytest.mark.parametrize(("name", "field"), [pair for pair in NUMBERS if pair[1] not in RATINGS])
def test_zero_is_refused_where_nothing_is_of_no_size(name, field):
    expected = None if (name, field) in ZERO_IS_A_VALUE else field
    assert refused(name, field, 0) == expected
    assert refused(name, field, 5e-324) == expected


@pytest.mark.parametrize(("name", "field"), [
    ("conductor", "bundled"), ("ampacity", "bundled"), ("largest_fuse", "bundled"),
    ("bus_drop", "len"), ("bus_ohms", "terminators"), ("switch_chain", "switches"),
    ("switch_chain", "ports_each"),
])  # fmt: skip
def test_pieces_are_counted_in_whole_numbers(name, field):
    assert refused(name, field, 2.5) == field
    assert run_sum(name, {**SOUND[name], field: 4.0}).values == (
        run_sum(name, {**SOUND[name], field: 4}).values
    )


@pytest.mark.parametrize(("name", "field"), FIELDS)
def test_what_is_missing_is_named_or_has_its_default(name, field):
    given = {key: each for key, each in SOUND[name].items() if key != field}
    optional = {each.name: each.optional for each in SUMS[name].inputs}[field]
    assert field_refused(name, **given) == (None if optional else field)


@pytest.mark.parametrize("name", SOUND)
def test_an_input_that_no_sum_has_is_refused(name):
    assert field_refused(name, **SOUND[name], colour="red") == "colour"


@pytest.mark.parametrize("field", ["amps"])
@pytest.mark.parametrize("name", ["conductor", "metric_drop", "fuse_colour"])
def test_ten_thousand_amperes_are_refused_with_the_bound(name, field):
    with pytest.raises(SumFault, match=r"10000 is too much: at most 5,000 A is taken"):
        run_sum(name, {**SOUND[name], field: 10_000})


@pytest.mark.parametrize("name", ["area", "ampacity", "largest_fuse"])
@pytest.mark.parametrize(
    "gauge", ["7", "11", "0", "5/0", "2/O", " 10", "10 AWG", 10, None, True, []]
)
def test_a_gauge_that_does_not_exist_is_refused(name, gauge):
    assert refused(name, "awg", gauge) == "awg"


@pytest.mark.parametrize("name", ["conductor", "ampacity", "largest_fuse"])
@pytest.mark.parametrize("rating", [104, 105.5, 0, "105", None, True, math.nan, []])
def test_an_insulation_that_is_not_in_the_table_is_refused(name, rating):
    assert refused(name, "insulation_c", rating) == "insulation_c"


@pytest.mark.parametrize("name", ["conductor", "ampacity", "largest_fuse"])
@pytest.mark.parametrize("bad", [0, 1, "yes", "false", None])
def test_engine_space_is_true_or_false_and_nothing_like_it(name, bad):
    assert refused(name, "engine_space", bad) == "engine_space"


@pytest.mark.parametrize(
    ("name", "field", "bad"),
    [
        ("conductor", "areas", "AWG"),
        ("area", "areas", ["sae"]),
        ("compass", "kind", "magnetic"),
        ("backbone", "cable", "thick"),
        ("standby", "usable_percent", 101),
        ("conductor", "drop_percent", 100),
    ],
)
def test_words_and_shares_outside_their_range_are_refused(name, field, bad):
    assert refused(name, field, bad) == field


@pytest.mark.parametrize("name", ["sentence", "hull_number", "mmsi"])
@pytest.mark.parametrize("bad", [366123456, None, True, "", "   ", ["x"], "x" * 1001])
def test_texts_are_texts(name, bad):
    assert refused(name, "text", bad) == "text"


@pytest.mark.parametrize(
    ("bad", "field"),
    [
        (100, "mbit_a"),
        ([], "mbit_a"),
        ([100, 37], "mbit_a[1]"),
        (["100"], "mbit_a[0]"),
        ([True], "mbit_a[0]"),
        ([None], "mbit_a[0]"),
        ([math.nan], "mbit_a[0]"),
    ],
)
def test_speeds_are_a_list_of_ethernet_speeds(bad, field):
    assert refused("link_speed", "mbit_a", bad) == field


@pytest.mark.parametrize("given", [None, [], "amps", 3])
def test_inputs_that_are_no_object_are_refused(given):
    with pytest.raises(SumFault) as caught:
        run_sum("bus_units", given)
    assert caught.value.field == "in"


@pytest.mark.parametrize("name", ["Conductor", "", None, 3, ["area"], "areas"])
def test_a_sum_that_does_not_exist_is_refused(name):
    with pytest.raises(SumFault, match="is no sum") as caught:
        run_sum(name, {})
    assert caught.value.field == "name"


@pytest.mark.parametrize(
    ("place", "key", "bad", "field"),
    [
        ("segments", "metres", 0, "segments[0].metres"),
        ("segments", "metres", -3, "segments[0].metres"),
        ("segments", "metres", "5", "segments[0].metres"),
        ("segments", "metres", math.nan, "segments[0].metres"),
        ("segments", "from", "", "segments[0].from"),
        ("segments", "to", None, "segments[0].to"),
        ("drops", "metres", 0, "drops[0].metres"),
        ("drops", "metres", True, "drops[0].metres"),
        ("drops", "len", -1, "drops[0].len"),
        ("drops", "len", 1.5, "drops[0].len"),
        ("drops", "unit", "  ", "drops[0].unit"),
        ("drops", "tee", 1.5, "drops[0].tee"),
        ("feeds", "volts", 0, "feeds[0].volts"),
        ("feeds", "volts", 230, "feeds[0].volts"),
        ("feeds", "tee", False, "feeds[0].tee"),
    ],
)
def test_faults_in_a_backbone_name_their_row(place, key, bad, field):
    drawing = line(5, 5, drops=[(1, 2, 3)])
    drawing[place][0][key] = bad
    assert field_refused("backbone", **drawing) == field
    del drawing[place][0][key]
    assert field_refused("backbone", **drawing) == field


@pytest.mark.parametrize("place", ["segments", "drops", "feeds", "terminators"])
@pytest.mark.parametrize("bad", [None, {}, "T1", 3])
def test_the_parts_of_a_backbone_are_lists(place, bad):
    assert refused("backbone", place, bad) == place


def test_rows_of_a_backbone_are_objects_and_segments_are_not_none():
    assert refused("backbone", "segments", []) == "segments"
    assert refused("backbone", "segments", ["T0"]) == "segments[0]"
    assert refused("backbone", "drops", [None]) == "drops[0]"
    assert refused("backbone", "terminators", ["T0", None]) == "terminators[1]"
    assert refused("backbone", "feeds", SOUND["backbone"]["feeds"] * 2) == "feeds[1].tee"


@pytest.mark.parametrize("bad", [0, -1, "0.05", None, True, math.inf])
def test_the_ohms_of_a_cable_are_a_number(bad):
    assert refused("backbone", "cable", {"ohm_per_m": bad}) == "cable.ohm_per_m"
    assert refused("backbone", "cable", {}) == "cable.ohm_per_m"
    assert refused("backbone", "cable", None) == "cable"


def test_a_long_value_is_cut_short_in_the_message():
    with pytest.raises(SumFault) as caught:
        run_sum("area", {"awg": "9" * 5000, "areas": "awg"})
    assert len(caught.value.message) < 200


def test_the_least_and_the_most_of_every_number_give_finite_answers():
    least = {"amps": 1e-6, "round_trip_ft": 1e-6, "volts": 1000, "drop_percent": 50}
    most = {"amps": 5000, "round_trip_ft": 10_000, "volts": 1e-6, "drop_percent": 1e-6}
    assert value("conductor", "awg", **least) == "18"
    assert math.isfinite(value("conductor", "circular_mils_needed", **most))
    assert value("conductor", "awg", **most) is None
