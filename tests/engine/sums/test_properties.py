"""What must hold for any input: more load never asks for less copper, and so on."""

from hypothesis import given, settings
from hypothesis import strategies as st

from planner.engine.sums import run_sum
from planner.engine.sums.gauges import IN_TABLE_5, RATINGS_C, SOLD
from tests.engine.sums.networks import line
from tests.engine.sums.tables import value

# A loaded machine is no fault of the sums.
unhurried = settings(deadline=None, max_examples=60)

AMPS = st.floats(0.01, 600)
FEET = st.floats(0.1, 400)
VOLTS = st.sampled_from([12, 13.8, 24, 36, 48, 120])
PERCENT = st.floats(0.5, 10)
AREAS = st.sampled_from(["awg", "sae"])
PLACES = st.fixed_dictionaries(
    {
        "insulation_c": st.sampled_from(RATINGS_C),
        "engine_space": st.booleans(),
        "bundled": st.integers(1, 40),
    }
)
CIRCUITS = st.fixed_dictionaries(
    {
        "amps": AMPS,
        "round_trip_ft": FEET,
        "volts": VOLTS,
        "drop_percent": PERCENT,
        "areas": AREAS,
    }
)


def size(gauge):
    return len(SOLD) if gauge is None else SOLD.index(gauge)


@unhurried
@given(CIRCUITS, PLACES, st.floats(1, 3))
def test_more_amps_or_feet_never_give_a_thinner_wire(circuit, place, more):
    for key in ("awg_for_drop", "awg_for_current", "awg"):
        plain = value("conductor", key, **circuit, **place)
        for load in ("amps", "round_trip_ft"):
            heavier = {**circuit, load: circuit[load] * more}
            assert size(value("conductor", key, **heavier, **place)) >= size(plain)


@unhurried
@given(CIRCUITS, PLACES, st.floats(1, 3))
def test_more_volts_or_a_larger_drop_never_give_a_thicker_wire(circuit, place, more):
    plain = value("conductor", "awg", **circuit, **place)
    for ease in ("volts", "drop_percent"):
        easier = {**circuit, ease: circuit[ease] * more}
        assert size(value("conductor", "awg", **easier, **place)) <= size(plain)


@unhurried
@given(CIRCUITS, PLACES)
def test_the_wire_chosen_holds_drop_and_current_and_none_thinner_does(circuit, place):
    result = run_sum("conductor", {**circuit, **place})
    found = result.values
    sizes = [size(found["awg_for_drop"]), size(found["awg_for_current"])]
    assert size(found["awg"]) == max(sizes)
    if found["awg"] is None:
        return
    assert found["drop_percent"] <= circuit["drop_percent"] * (1 + 1e-8)
    assert value("ampacity", "amps", awg=found["awg"], **place) >= circuit["amps"]
    if max(sizes):
        thinner = SOLD[max(sizes) - 1]
        area = value("area", "circular_mils", awg=thinner, areas=circuit["areas"])
        carried = value("ampacity", "amps", awg=thinner, **place)
        assert area < found["circular_mils_needed"] or carried < circuit["amps"]


@unhurried
@given(CIRCUITS, PLACES)
def test_sae_areas_never_give_a_thinner_wire_than_awg_areas(circuit, place):
    sae, awg = (
        value("conductor", "awg", **{**circuit, "areas": areas}, **place)
        for areas in ("sae", "awg")
    )
    assert size(sae) >= size(awg)


@unhurried
@given(st.sampled_from(IN_TABLE_5), PLACES)
def test_heat_and_company_never_raise_what_a_wire_carries(gauge, place):
    carried = value("ampacity", "amps", awg=gauge, **place)
    alone = {"insulation_c": place["insulation_c"]}
    assert 0 < carried <= value("ampacity", "amps", awg=gauge, **alone)
    assert carried <= value("ampacity", "amps", awg=gauge, **{**place, "engine_space": False})
    more = {**place, "bundled": place["bundled"] + 1}
    assert value("ampacity", "amps", awg=gauge, **more) <= carried


@unhurried
@given(st.sampled_from(IN_TABLE_5), PLACES)
def test_the_largest_fuse_is_one_and_a_half_times_what_the_wire_carries(gauge, place):
    fuse = value("largest_fuse", "amps", awg=gauge, **place)
    assert fuse * 2 == value("ampacity", "amps", awg=gauge, **place) * 3


@unhurried
@given(st.floats(0.01, 80), st.floats(1, 2))
def test_a_larger_load_never_has_a_smaller_fuse(load, more):
    fuse = value("fuse_for_load", "amps", continuous_amps=load)
    larger = value("fuse_for_load", "amps", continuous_amps=load * more)
    assert fuse >= load * 1.25 * (1 - 1e-8)
    assert larger is None or larger >= fuse


@unhurried
@given(st.integers(0, 100_000))
def test_load_equivalency_covers_the_draw_by_less_than_one(draw):
    units = value("bus_units", "len", draw_ma=draw)
    assert units * 50 - 50 < draw <= units * 50


@unhurried
@given(st.floats(0.1, 500), st.floats(0.1, 100), st.floats(0.75, 120), st.floats(1, 4))
def test_the_metric_drop_falls_as_the_wire_grows(amps, metres, area, more):
    drop = value("metric_drop", "drop_volts", amps=amps, both_ways_m=metres, mm2=area)
    thicker = value("metric_drop", "drop_volts", amps=amps, both_ways_m=metres, mm2=area * more)
    assert 0 < thicker <= drop


@unhurried
@given(
    st.text(st.characters(min_codepoint=32, max_codepoint=126, exclude_characters="*"), min_size=1)
)
def test_a_sentence_with_its_own_checksum_is_valid(body):
    text = f"${body}"
    checksum = value("sentence", "checksum", text=text)
    if text == text.rstrip():
        assert value("sentence", "valid", text=f"{text}*{checksum}") is True
        wrong = f"{int(checksum, 16) ^ 1:02X}"
        assert value("sentence", "valid", text=f"{text}*{wrong}") is False


@unhurried
@given(st.text(min_size=1, max_size=30).filter(str.strip))
def test_any_text_is_read_as_hull_number_and_identity_number_without_a_crash(text):
    hull = run_sum("hull_number", {"text": text}).values
    assert hull["valid"] == (not hull["faults"])
    radio = run_sum("mmsi", {"text": text}).values
    assert radio["valid"] == (radio["fault"] is None) == (radio["kind"] is not None)


@unhurried
@given(st.lists(st.floats(0.1, 30), min_size=1, max_size=6), st.integers(1, 20), st.integers(0, 20))
def test_a_heavier_unit_never_lifts_the_worst_node(metres, load, more):
    end = len(metres)
    light = line(*metres, drops=[(end, 2, load), (0, 1, 3)])
    heavy = line(*metres, drops=[(end, 2, load + more), (0, 1, 3)])
    assert value("backbone", "worst_volts", **heavy) <= value("backbone", "worst_volts", **light)
