"""Every sum by its name, with its inputs, outputs and source; and how to run one by name."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from planner.engine.sums import words
from planner.engine.sums.backbone import solve_backbone
from planner.engine.sums.bus import find_bus_drop, find_bus_ohms, find_bus_units
from planner.engine.sums.compass import find_largest_deviation
from planner.engine.sums.conductor import find_area, find_metric_drop, size_conductor
from planner.engine.sums.current import find_ampacity
from planner.engine.sums.ethernet import find_bend_radius, find_free_ports, find_link_speed
from planner.engine.sums.faults import refuse
from planner.engine.sums.fuses import find_fuse_colour, find_fuse_for_load, find_largest_fuse
from planner.engine.sums.hull_number import read_hull_number
from planner.engine.sums.inputs import show
from planner.engine.sums.mmsi import read_mmsi
from planner.engine.sums.results import SumResult
from planner.engine.sums.sentence import check_sentence
from planner.engine.sums.standby import find_standby_days


@dataclass(frozen=True, slots=True)
class Quantity:
    """One input or output: its name, its unit in words, and the default (inputs only)."""

    name: str
    unit: str
    default: Any = None
    optional: bool = False


@dataclass(frozen=True, slots=True)
class Sum:
    """One sum: what goes in, what comes out, where it is from, and the function."""

    name: str
    inputs: tuple[Quantity, ...]
    outputs: tuple[Quantity, ...]
    source: str
    function: Callable[..., SumResult]

    def run(self, given: Any) -> SumResult:
        """Run with inputs by name; a missing or unknown one raises SumFault."""
        if not isinstance(given, Mapping):
            refuse("in", f"{show(given)} is not an object with the inputs by name.")
        known = {quantity.name: quantity for quantity in self.inputs}
        for name in given:
            if name not in known:
                refuse(str(name), f"{self.name} has no such input; it has {', '.join(known)}.")
        for quantity in self.inputs:
            if not quantity.optional and quantity.name not in given:
                refuse(quantity.name, f"It is missing ({quantity.unit}).")
        return self.function(**given)


def run_sum(name: Any, given: Any) -> SumResult:
    """Run the sum of a name; an unknown name raises SumFault of the field `name`."""
    if not isinstance(name, str) or name not in SUMS:
        refuse("name", f"{show(name)} is no sum: use one of {', '.join(SUMS)}.")
    return SUMS[name].run(given)


def _given(name: str, unit: str) -> Quantity:
    return Quantity(name, unit)


def _maybe(name: str, unit: str, default: Any) -> Quantity:
    return Quantity(name, unit, default, optional=True)


_GAUGE = _given("awg", "gauge as text, 18 to 4/0")
_AMPS = _given("amps", "A")
_LEN = _given("len", "load equivalencies of 50 mA")
_DRAW = _given("draw_ma", "mA")
_TEXT = _given("text", "text")
_INSULATION = "°C of the insulation: 60, 75, 80, 90, 105, 125 or 200"
_PLACE = (
    _maybe("engine_space", "true or false", False),
    _maybe("bundled", "current-carrying conductors", 2),
)
_RATED = (_GAUGE, _given("insulation_c", _INSULATION), *_PLACE)

_ALL = (
    Sum(
        "area",
        (_GAUGE, _given("areas", '"awg" (exact) or "sae" (minimum)')),
        (_given("circular_mils", "circular mils"), _given("mm2", "mm²")),
        f"{words.B258}; {words.SAE}",
        find_area,
    ),
    Sum(
        "conductor",
        (
            _AMPS,
            _given("round_trip_ft", "ft, there and back"),
            _given("volts", "V"),
            _given("drop_percent", "%, allowed"),
            _maybe("areas", '"awg" (exact) or "sae" (minimum)', "sae"),
            _maybe("insulation_c", _INSULATION, 105),
            *_PLACE,
        ),
        (
            _given("circular_mils_needed", "circular mils"),
            _given("awg_for_drop", "gauge"),
            _given("awg_for_current", "gauge"),
            _given("awg", "gauge, the larger; null beyond 4/0"),
            _given("drop_volts", "V"),
            _given("drop_percent", "%"),
        ),
        f"{words.E11}; {words.TABLE_5}",
        size_conductor,
    ),
    Sum("ampacity", _RATED, (_AMPS,), f"{words.TABLE_5}, notes 1 and 2", find_ampacity),
    Sum(
        "metric_drop",
        (_AMPS, _given("both_ways_m", "m, there and back"), _given("mm2", "mm²")),
        (_given("drop_volts", "V"),),
        words.ISO_DROP,
        find_metric_drop,
    ),
    Sum(
        "largest_fuse",
        _RATED,
        (_given("amps", "A, under 50 V"), _given("amps_from_50_volts", "A")),
        words.OVERCURRENT,
        find_largest_fuse,
    ),
    Sum(
        "fuse_for_load",
        (_given("continuous_amps", "A"),),
        (_given("amps", "A; null where no blade fuse is large enough"),),
        "125 % of the continuous load: common practice of the trade",
        find_fuse_for_load,
    ),
    Sum(
        "fuse_colour",
        (_AMPS,),
        (_given("colour", "word"),),
        "ISO 8820-3 scheme, as a public automotive article lists it",
        find_fuse_colour,
    ),
    Sum("bus_units", (_DRAW,), (_LEN,), words.NMEA_2000, find_bus_units),
    Sum(
        "bus_drop",
        (_LEN, _given("metres", "m to the furthest device"), _given("ohm_per_m", "Ω/m, one way")),
        (_given("drop_volts", "V"),),
        words.NMEA_2000,
        find_bus_drop,
    ),
    Sum(
        "bus_ohms",
        (_given("terminators", "pieces of 120 Ω"),),
        (_given("ohms", "Ω"),),
        words.NMEA_2000,
        find_bus_ohms,
    ),
    Sum(
        "backbone",
        (
            _given("segments", "list of from, to, metres"),
            _given("drops", "list of tee, metres, unit, len"),
            _given("feeds", "list of tee, volts"),
            _given("terminators", "list of tees"),
            _given("cable", '"light", "mid", "heavy" or {"ohm_per_m": Ω/m of one conductor}'),
        ),
        (
            _given("nodes", "units"),
            _LEN,
            _given("node_volts", "V by unit"),
            _given("worst_volts", "V"),
            _given("tee_volts", "V by tee"),
            _given("bus_drop_volts", "V, the simpler upper estimate"),
            _given("expected_ohms", "Ω"),
            _given("backbone_metres", "m, with the end drops that count"),
            _given("faults", "list of sentences"),
            _given("fault_places", "list of kind, place, message"),
        ),
        words.NMEA_2000,
        solve_backbone,
    ),
    Sum(
        "switch_chain",
        (_given("switches", "pieces"), _given("ports_each", "ports")),
        (_given("free_ports", "ports"),),
        "derived",
        find_free_ports,
    ),
    Sum(
        "link_speed",
        (_given("mbit_a", "list, Mbit/s"), _given("mbit_b", "list, Mbit/s")),
        (_given("mbit", "Mbit/s; null where none is shared"),),
        "IEEE 802.3 clause 28",
        find_link_speed,
    ),
    Sum(
        "bend_radius",
        (_given("diameter_mm", "mm"),),
        (_given("radius_mm", "mm"),),
        "TIA-568, from memory",
        find_bend_radius,
    ),
    Sum(
        "sentence",
        (_TEXT,),
        (
            _given("checksum", "two hex digits"),
            _given("valid", "true, false; null without *hh"),
            _given("warnings", "list of sentences"),
        ),
        "NMEA 0183 / IEC 61162-1",
        check_sentence,
    ),
    Sum(
        "compass",
        (_given("field_ut", "µT, horizontal"), _given("kind", '"standard" or "steering"')),
        (_given("largest_deviation_deg", "degrees"),),
        "ISO 25862 / IEC 60945",
        find_largest_deviation,
    ),
    Sum(
        "hull_number",
        (_TEXT,),
        (
            _given("valid", "true or false"),
            _given("faults", "list of sentences"),
            _given("as_stored", "text"),
            _given("built_month", "1 to 12"),
            _given("built_year", "year"),
            _given("model_year", "two figures"),
        ),
        "33 CFR 181.25",
        read_hull_number,
    ),
    Sum(
        "mmsi",
        (_TEXT,),
        (
            _given("valid", "true or false"),
            _given("kind", "word, or null"),
            _given("fault", "sentence, or null"),
        ),
        "ITU-R M.585",
        read_mmsi,
    ),
    Sum(
        "standby",
        (_DRAW, _given("bank_ah", "Ah"), _given("usable_percent", "%")),
        (_given("days", "days"),),
        "derived; usable part by common practice",
        find_standby_days,
    ),
)

SUMS = {each.name: each for each in _ALL}
