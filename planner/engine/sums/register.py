"""Every sum by its name, with its inputs, outputs and source; and how to run one by name."""

from typing import Any

from planner.engine.sums import words
from planner.engine.sums.at_the_boat import AT_THE_BOAT
from planner.engine.sums.backbone import solve_backbone
from planner.engine.sums.bus import CABLE_OHM_PER_M, find_bus_drop, find_bus_ohms, find_bus_units
from planner.engine.sums.compass import find_largest_deviation
from planner.engine.sums.conductor import find_area, find_metric_drop, size_conductor
from planner.engine.sums.current import find_ampacity
from planner.engine.sums.ethernet import find_bend_radius, find_free_ports, find_link_speed
from planner.engine.sums.faults import refuse
from planner.engine.sums.fuses import find_fuse_colour, find_fuse_for_load, find_largest_fuse
from planner.engine.sums.gauges import RATINGS_C, SOLD
from planner.engine.sums.hull_number import read_hull_number
from planner.engine.sums.inputs import show
from planner.engine.sums.mmsi import read_mmsi
from planner.engine.sums.results import SumResult
from planner.engine.sums.sentence import check_sentence
from planner.engine.sums.shapes import Sum, given, maybe
from planner.engine.sums.standby import find_standby_days

_AREAS = ("sae", "awg")
_GAUGE = given("awg", "gauge as text, 18 to 4/0", "choice", SOLD)
_AMPS = given("amps", "A")
_LEN = given("len", "load equivalencies of 50 mA", "whole")
_DRAW = given("draw_ma", "mA")
_TEXT = given("text", "text", "text")
_INSULATION = "°C of the insulation: 60, 75, 80, 90, 105, 125 or 200"
_PLACE = (
    maybe("engine_space", "true or false", False, "flag"),
    maybe("bundled", "current-carrying conductors", 2, "whole"),
)
_RATED = (_GAUGE, given("insulation_c", _INSULATION, "choice", RATINGS_C), *_PLACE)

_ALL = (
    Sum(
        "area",
        (_GAUGE, given("areas", '"awg" (exact) or "sae" (minimum)', "choice", _AREAS)),
        (given("circular_mils", "circular mils"), given("mm2", "mm²")),
        f"{words.B258}; {words.SAE}",
        find_area,
    ),
    Sum(
        "conductor",
        (
            _AMPS,
            given("round_trip_ft", "ft, there and back"),
            given("volts", "V"),
            given("drop_percent", "%, allowed"),
            maybe("areas", '"awg" (exact) or "sae" (minimum)', "sae", "choice", _AREAS),
            maybe("insulation_c", _INSULATION, 105, "choice", RATINGS_C),
            *_PLACE,
        ),
        (
            given("circular_mils_needed", "circular mils"),
            given("awg_for_drop", "gauge"),
            given("awg_for_current", "gauge"),
            given("awg", "gauge, the larger; null beyond 4/0"),
            given("drop_volts", "V"),
            given("drop_percent", "%"),
        ),
        f"{words.E11}; {words.TABLE_5}",
        size_conductor,
    ),
    Sum("ampacity", _RATED, (_AMPS,), f"{words.TABLE_5}, notes 1 and 2", find_ampacity),
    Sum(
        "metric_drop",
        (_AMPS, given("both_ways_m", "m, there and back"), given("mm2", "mm²")),
        (given("drop_volts", "V"),),
        words.ISO_DROP,
        find_metric_drop,
    ),
    Sum(
        "largest_fuse",
        _RATED,
        (given("amps", "A, under 50 V"), given("amps_from_50_volts", "A")),
        words.OVERCURRENT,
        find_largest_fuse,
    ),
    Sum(
        "fuse_for_load",
        (given("continuous_amps", "A"),),
        (given("amps", "A; null where no blade fuse is large enough"),),
        "125 % of the continuous load: common practice of the trade",
        find_fuse_for_load,
    ),
    Sum(
        "fuse_colour",
        (_AMPS,),
        (given("colour", "word"),),
        "ISO 8820-3 scheme, as a public automotive article lists it",
        find_fuse_colour,
    ),
    Sum("bus_units", (_DRAW,), (_LEN,), words.NMEA_2000, find_bus_units),
    Sum(
        "bus_drop",
        (_LEN, given("metres", "m to the furthest device"), given("ohm_per_m", "Ω/m, one way")),
        (given("drop_volts", "V"),),
        words.NMEA_2000,
        find_bus_drop,
    ),
    Sum(
        "bus_ohms",
        (given("terminators", "pieces of 120 Ω", "whole"),),
        (given("ohms", "Ω"),),
        words.NMEA_2000,
        find_bus_ohms,
    ),
    Sum(
        "backbone",
        (
            given("segments", "list of from, to, metres", "rows"),
            given("drops", "list of tee, metres, unit, len", "rows"),
            given("feeds", "list of tee, volts", "rows"),
            given("terminators", "list of tees", "rows"),
            given(
                "cable",
                '"light", "mid", "heavy" or {"ohm_per_m": Ω/m of one conductor}',
                "choice",
                tuple(CABLE_OHM_PER_M),
            ),
        ),
        (
            given("nodes", "units"),
            _LEN,
            given("node_volts", "V by unit"),
            given("worst_volts", "V"),
            given("tee_volts", "V by tee"),
            given("bus_drop_volts", "V, the simpler upper estimate"),
            given("expected_ohms", "Ω"),
            given("backbone_metres", "m, with the end drops that count"),
            given("faults", "list of sentences"),
            given("fault_places", "list of kind, place, message"),
        ),
        words.NMEA_2000,
        solve_backbone,
    ),
    Sum(
        "switch_chain",
        (given("switches", "pieces", "whole"), given("ports_each", "ports", "whole")),
        (given("free_ports", "ports"),),
        "derived",
        find_free_ports,
    ),
    Sum(
        "link_speed",
        (given("mbit_a", "list, Mbit/s", "numbers"), given("mbit_b", "list, Mbit/s", "numbers")),
        (given("mbit", "Mbit/s; null where none is shared"),),
        "IEEE 802.3 clause 28",
        find_link_speed,
    ),
    Sum(
        "bend_radius",
        (given("diameter_mm", "mm"),),
        (given("radius_mm", "mm"),),
        "TIA-568, from memory",
        find_bend_radius,
    ),
    Sum(
        "sentence",
        (_TEXT,),
        (
            given("checksum", "two hex digits"),
            given("valid", "true, false; null without *hh"),
            given("warnings", "list of sentences"),
        ),
        "NMEA 0183 / IEC 61162-1",
        check_sentence,
    ),
    Sum(
        "compass",
        (
            given("field_ut", "µT, horizontal"),
            given("kind", '"standard" or "steering"', "choice", ("standard", "steering")),
        ),
        (given("largest_deviation_deg", "degrees"),),
        "ISO 25862 / IEC 60945",
        find_largest_deviation,
    ),
    Sum(
        "hull_number",
        (_TEXT,),
        (
            given("valid", "true or false"),
            given("faults", "list of sentences"),
            given("as_stored", "text"),
            given("built_month", "1 to 12"),
            given("built_year", "year"),
            given("model_year", "two figures"),
        ),
        "33 CFR 181.25",
        read_hull_number,
    ),
    Sum(
        "mmsi",
        (_TEXT,),
        (
            given("valid", "true or false"),
            given("kind", "word, or null"),
            given("fault", "sentence, or null"),
        ),
        "ITU-R M.585",
        read_mmsi,
    ),
    Sum(
        "standby",
        (_DRAW, given("bank_ah", "Ah"), given("usable_percent", "%")),
        (given("days", "days"),),
        "derived; usable part by common practice",
        find_standby_days,
    ),
)

SUMS = {each.name: each for each in (*_ALL, *AT_THE_BOAT)}


def run_sum(name: Any, given: Any) -> SumResult:
    """Run the sum of a name; an unknown name raises SumFault of the field `name`."""
    if not isinstance(name, str) or name not in SUMS:
        refuse("name", f"{show(name)} is no sum: use one of {', '.join(SUMS)}.")
    return SUMS[name].run(given)
