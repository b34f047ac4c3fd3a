"""The sums for one look at the boat: feeding, updates, cables, the place of a unit."""

from planner.engine.sums.cable_run import (
    SLACK_FT,
    SLACK_PERCENT,
    find_cable_run,
    find_ethernet_loops,
)
from planner.engine.sums.circuit_fuse import check_circuit_fuse
from planner.engine.sums.compass import COMPASS_SOURCE, check_compass
from planner.engine.sums.feeding import find_fuse_block
from planner.engine.sums.gauges import RATINGS_C, SOLD
from planner.engine.sums.lookups import POE, WIRE_COLOURS, find_poe_power, find_wire_colour
from planner.engine.sums.mounting import (
    ANTENNAS,
    FUELS,
    ISOLATED,
    PLACES,
    YES_NO,
    check_cutout,
    check_ignition,
    check_separation,
    check_splash,
)
from planner.engine.sums.shapes import Quantity, Sum, given, maybe
from planner.engine.sums.update_volts import (
    CHARGER,
    CHEMISTRIES,
    SYSTEM_VOLTS,
    find_update_volts,
)
from planner.engine.sums.words import OVERCURRENT

_PRACTICE = "common practice, no source"
_VERDICT = (given("verdict", "good, look, stop or unknown"), given("why", "sentence"))


def _words(name: str, choices: tuple[str, ...]) -> Quantity:
    return given(name, ", ".join(choices), "choice", choices)


AT_THE_BOAT = (
    Sum(
        "circuit_fuse",
        (
            given("continuous_amps", "A"),
            maybe("maker_amps", "A that the unit's maker asks for; null: not known", None),
            maybe("fitted_amps", "A printed on the fuse; null: none fitted yet", None),
            given("awg", "gauge as text, 18 to 4/0", "choice", SOLD),
            maybe("insulation_c", "°C of the insulation", 105, "choice", RATINGS_C),
            maybe("engine_space", "true or false", False, "flag"),
            maybe("bundled", "current-carrying conductors", 2, "whole"),
            maybe("inches", "in from the source to the fuse; null: not known", None),
            maybe("sheathed", ", ".join(YES_NO), "unknown", "choice", YES_NO),
        ),
        (
            *_VERDICT,
            given("amps", "A to fit; null where no blade fuse is large enough"),
            given("colour", "word"),
            given("most_amps", "A, the most that the wire allows"),
        ),
        f"{OVERCURRENT}; 33 CFR 183.455(b); 125 %: {_PRACTICE}",
        check_circuit_fuse,
    ),
    Sum(
        "fuse_block",
        (
            given("loads_amps", "list, A of each circuit", "numbers"),
            given("block_amps", "A, the whole block's rating"),
            given("circuit_amps", "A, the most of one way"),
            maybe("cutoff_amps", "A, the cut-off's continuous rating; null: not known", None),
        ),
        (
            *_VERDICT,
            given("total_amps", "A"),
            given("circuits_over", "list of circuits, from 1"),
            given("fits", "true or false; null where the cut-off is not known"),
        ),
        f"{_PRACTICE}; ratings as printed by the makers",
        find_fuse_block,
    ),
    Sum(
        "wire_colour",
        (_words("circuit", tuple(WIRE_COLOURS)),),
        (given("colour", "word"),),
        "ABYC E-11 and NMEA 2000 colour tables as reproduced publicly",
        find_wire_colour,
    ),
    Sum(
        "poe_power",
        (given("poe_type", "type 1 to 4", "choice", tuple(POE)),),
        (
            given("standard", "word"),
            given("source_watts", "W"),
            given("device_watts", "W"),
            given("pairs", "pairs that carry power"),
        ),
        "IEEE 802.3 table in public notes",
        find_poe_power,
    ),
    Sum(
        "update_volts",
        (
            given("rested_volts", "V, the bank after rest"),
            given("system_volts", "V: 12, 24, 36 or 48", "choice", SYSTEM_VOLTS),
            _words("chemistry", CHEMISTRIES),
            _words("charger", CHARGER),
            given("load_amps", "A, all that is on during the update"),
            given("round_trip_ft", "ft, there and back"),
            given("awg", "gauge as text, 18 to 4/0", "choice", SOLD),
        ),
        (
            given("holds", "yes, no or unknown"),
            given("needed_volts", "V rested; null where volts do not tell"),
            given("plug_volts", "V under load"),
            given("why", "sentence"),
        ),
        f"{_PRACTICE}; lead-acid only",
        find_update_volts,
    ),
    Sum(
        "cable_run",
        (
            given("route_ft", "ft, along the route"),
            maybe("slack_ft", "ft", SLACK_FT),
            maybe("slack_percent", "% of the route", SLACK_PERCENT),
            given("sold_ft", "list of ft sold", "numbers"),
        ),
        (
            given("needed_ft", "ft"),
            given("buy_ft", "ft; null where none reaches"),
            given("needed_m", "m"),
        ),
        f"slack: {_PRACTICE}; 100 m: IEEE 802.3, from memory",
        find_cable_run,
    ),
    Sum(
        "ethernet_loops",
        (given("links", "list of from, to", "rows"),),
        (given("loops", "list of lists of names"), given("faults", "list of sentences")),
        "derived",
        find_ethernet_loops,
    ),
    Sum(
        "ignition",
        (
            _words("fuel", FUELS),
            _words("vapour", YES_NO),
            _words("protected", YES_NO),
            _words("isolated", ISOLATED),
            maybe("distance_ft", "ft from the petrol source, in open air", 0),
        ),
        _VERDICT,
        "33 CFR 183.410",
        check_ignition,
    ),
    Sum(
        "separation",
        (
            _words("one", ANTENNAS),
            _words("other", ANTENNAS),
            given("metres", "m between them"),
            maybe("stacked", ", ".join(YES_NO), "no", "choice", YES_NO),
        ),
        (*_VERDICT, given("needed_m", "m; null where none is laid down")),
        _PRACTICE,
        check_separation,
    ),
    Sum(
        "compass_distance",
        (
            given("there_cm", "cm to the nearest compass"),
            maybe("safe_cm", "cm, the maker's compass-safe distance; null: not known", None),
        ),
        (*_VERDICT, given("needed_cm", "cm")),
        COMPASS_SOURCE,
        check_compass,
    ),
    Sum(
        "splash",
        (
            _words("place", PLACES),
            given("ip", 'IP code as printed, or "unknown"', "text"),
            maybe("place_c", "°C at the place; null: not known", None),
            maybe("unit_most_c", "°C that the unit takes; null: not known", None),
        ),
        _VERDICT,
        f"IEC 60529; which place asks for which: {_PRACTICE}",
        check_splash,
    ),
    Sum(
        "cutout",
        (
            given("hole_width_mm", "mm"),
            given("hole_height_mm", "mm"),
            given("unit_width_mm", "mm, the unit's cut-out"),
            given("unit_height_mm", "mm, the unit's cut-out"),
            given("bezel_width_mm", "mm"),
            given("bezel_height_mm", "mm"),
            given("depth_there_mm", "mm behind the dash"),
            given("unit_depth_mm", "mm behind the dash"),
            maybe("plug_mm", "mm for plugs and bends", 50),
        ),
        (*_VERDICT, given("cut_width_mm", "mm to cut"), given("cut_height_mm", "mm to cut")),
        f"{_PRACTICE}; the maker's template decides",
        check_cutout,
    ),
)
