"""Outputs, inputs and margins of a sum as lines that are read at the boat."""

from dataclasses import dataclass
from typing import Any

from planner.benchsums.words import CHOICES, INPUTS, OF_SUM, PAGES
from planner.engine.sums import SumResult

FEET_PER_METRE = 1 / 0.3048

OUTPUTS = {
    "circular_mils": ("Area", "circular mils", 0),
    "mm2": ("Area", "mm²", 3),
    "circular_mils_needed": ("Area needed for the drop", "circular mils", 0),
    "awg_for_drop": ("By voltage drop", "AWG", 0),
    "awg_for_current": ("By current", "AWG", 0),
    "awg": ("Wire to fit", "AWG", 0),
    "drop_volts": ("Volts lost", "V", 3),
    "drop_percent": ("Lost", "%", 2),
    "amps": ("Current", "A", 2),
    "amps_from_50_volts": ("From 50 V on", "A", 2),
    "colour": ("Colour", "", 0),
    "len": ("Load", "LEN", 0),
    "ohms": ("Meter reads", "Ω", 1),
    "nodes": ("Nodes", "", 0),
    "worst_volts": ("Lowest node", "V", 2),
    "bus_drop_volts": ("Lost by the simple sum", "V", 2),
    "expected_ohms": ("Meter reads, power off", "Ω", 1),
    "backbone_metres": ("Backbone length", "m", 2),
    "free_ports": ("Ports free", "", 0),
    "mbit": ("Link", "Mbit/s", 0),
    "radius_mm": ("Bend no tighter than", "mm radius", 1),
    "checksum": ("Checksum", "", 0),
    "valid": ("Valid", "", 0),
    "largest_deviation_deg": ("Deviation at most", "°", 2),
    "as_stored": ("Kept as", "", 0),
    "built_month": ("Built, month", "", 0),
    "built_year": ("Built, year", "", 0),
    "model_year": ("Model year", "", 0),
    "kind": ("Kind", "", 0),
    "days": ("Lasts", "days", 1),
    "total_amps": ("All circuits", "A", 2),
    "circuits_over": ("Circuits over their way", "", 0),
    "fits": ("Block and cut-off carry it", "", 0),
    "holds": ("Power holds", "", 0),
    "needed_volts": ("Rested volts needed", "V", 2),
    "plug_volts": ("At the plug, under load", "V", 2),
    "needed_ft": ("Needed", "ft", 1),
    "buy_ft": ("Buy", "ft", 0),
    "needed_m": ("Needed", "m", 1),
    "loops": ("Loops", "", 0),
    "verdict": ("Verdict", "", 0),
    "standard": ("Standard", "", 0),
    "source_watts": ("At the source", "W", 1),
    "device_watts": ("At the device", "W", 2),
    "pairs": ("Pairs that carry power", "", 0),
    "most_amps": ("Largest for the wire", "A", 2),
    "needed_cm": ("Asked for", "cm", 0),
    "cut_width_mm": ("Cut wider by", "mm", 0),
    "cut_height_mm": ("Cut higher by", "mm", 0),
}
LABEL_OF = {
    ("ampacity", "amps"): "Carries",
    ("largest_fuse", "amps"): "Largest fuse, under 50 V",
    ("largest_fuse", "amps_from_50_volts"): "Largest fuse, from 50 V",
    ("fuse_for_load", "amps"): "Fuse to fit",
    ("circuit_fuse", "amps"): "Fuse to fit",
    ("separation", "needed_m"): "Asked for",
}
NOTHING = {
    "awg": "more than 4/0",
    "awg_for_drop": "more than 4/0",
    "awg_for_current": "more than 4/0",
    "amps": "no blade fuse is large enough",
    "mbit": "none: the ends share no speed",
    "buy_ft": "none that is sold reaches",
    "needed_volts": "volts do not tell",
    "valid": "no checksum to compare",
}
MARGINS = {
    "drop_percent": ("Drop left to the limit", "%", 2),
    "amps": ("Current left", "A", 2),
    "drop_volts": ("Left of 1.67 V", "V", 2),
    "terminators": ("Terminators wanting", "", 0),
    "days": ("Beyond 30 days", "days", 1),
    "draw_ma": ("Left to 1000 mA", "mA", 0),
    "volts": ("Lowest node over its 9 V", "V", 2),
    "nodes": ("Nodes left", "", 0),
    "drops_metres": ("Drop cable left", "m", 1),
    "backbone_metres": ("Backbone left", "m", 1),
    "block_amps": ("Left on the block", "A", 2),
    "circuit_amps": ("Left on the fullest way", "A", 2),
    "cutoff_amps": ("Left on the cut-off", "A", 2),
    "rested_volts": ("Rested volts to spare", "V", 2),
    "plug_volts": ("At the plug to spare", "V", 2),
    "spare_ft": ("Cable to spare", "ft", 1),
    "to_100_m": ("Left to 100 m", "m", 1),
    "most_amps": ("Below the wire's limit", "A", 2),
    "there_cm": ("To spare", "cm", 0),
    "lost_watts": ("Lost on the way, at most", "W", 2),
    "distance_ft": ("Beyond the 2 ft", "ft", 1),
    "metres": ("To spare", "m", 2),
    "characters": ("Characters left of 82", "", 0),
    "celsius": ("To spare", "°C", 0),
    "depth_mm": ("Depth to spare", "mm", 0),
    "cover_width_mm": ("Front covers, wide, by", "mm", 0),
    "cover_height_mm": ("Front covers, high, by", "mm", 0),
}
TONES = {
    "good": ("good", "Good"),
    "look": ("look", "Look"),
    "stop": ("stop", "Stop"),
    "unknown": ("unknown", "Not known"),
    "yes": ("good", "Yes"),
    "no": ("stop", "No"),
    True: ("good", "Yes"),
    False: ("stop", "No"),
}
_SHOWN_APART = {"faults", "fault_places", "node_volts", "tee_volts", "warnings", "why", "fault"}


@dataclass(frozen=True, slots=True)
class Line:
    """A line of an answer; `tone` is set where it is a verdict."""

    label: str
    text: str
    tone: str = ""


def lines_of(name: str, result: SumResult) -> list[Line]:
    """The outputs, the main one first."""
    main = PAGES[name].main
    names = sorted(result.values, key=lambda each: each != main)
    return [_line(name, each, result.values[each]) for each in names if each not in _SHOWN_APART]


def faults_of(result: SumResult) -> list[str]:
    """What is wrong, in sentences; and the sentence behind a verdict."""
    found = [*result.values.get("faults", ()), *result.values.get("warnings", ())]
    return [*found, *filter(None, (result.values.get("fault"),))]


def inputs_of(name: str, result: SumResult) -> list[Line]:
    """The inputs as used, defaults filled in; the run is told by `run_words`."""
    return [
        Line(_input_label(name, field), _input_text(value))
        for field, value in result.inputs.items()
        if field not in {"round_trip_ft", "both_ways_m"}
    ]


def _input_label(name: str, field: str) -> str:
    words = OF_SUM.get((name, field)) or INPUTS.get(field)
    return words.label if words else field.capitalize()


def _input_text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return ", ".join(f"{key}: {figure(each, 'V', 2)}" for key, each in value.items()) or "none"
    if isinstance(value, list):
        # No commas within a figure where commas stand between them.
        return ", ".join(figure(each, "", 3).replace(",", "") for each in value) or "none"
    return figure(CHOICES.get(value, value) if isinstance(value, str) else value, "", 4)


def margins_of(result: SumResult) -> list[Line]:
    """What is left to the limits; below zero is over."""
    lines = []
    for name, value in result.margin.items():
        label, unit, places = MARGINS[name]
        tone = "stop" if value is not None and value < 0 else ""
        lines.append(Line(label, figure(value, unit, places), tone))
    return lines


def volts_of(result: SumResult) -> list[Line]:
    """Volts at every node, lowest first; not known last."""
    volts = result.values.get("node_volts") or {}
    order = sorted(volts.items(), key=lambda pair: (pair[1] is None, pair[1] or 0))
    return [
        Line(unit, figure(each, "V", 2), "unknown" if each is None else _volts_tone(each))
        for unit, each in order
    ]


def run_words(result: SumResult) -> str:
    """The run one way and there and back, in feet and metres; "" where there is none."""
    feet, metres = result.inputs.get("round_trip_ft"), result.inputs.get("both_ways_m")
    if feet is None and metres is None:
        return ""
    feet = metres * FEET_PER_METRE if feet is None else feet
    one, both = (f"{each:,.1f} ft ({each / FEET_PER_METRE:,.1f} m)" for each in (feet / 2, feet))
    return f"Run: {one} one way, {both} round trip."


def figure(value: Any, unit: str, places: int) -> str:
    """A figure with its unit, without idle zeros."""
    if value is None:
        return "not known"
    if isinstance(value, bool) or not isinstance(value, int | float):
        return f"{value} {unit}".strip()
    text = f"{value:,.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return f"{text} {unit}".strip().replace(" °", "°") if unit == "°" else f"{text} {unit}".strip()


def _line(name: str, output: str, value: Any) -> Line:
    label, unit, places = OUTPUTS[output]
    label = LABEL_OF.get((name, output), label)
    if isinstance(value, bool) or output in {"verdict", "holds"}:
        return Line(label, *reversed(TONES[value]))
    if value is None:
        return Line(
            label, NOTHING.get(output, "not known"), "look" if output in NOTHING else "unknown"
        )
    if isinstance(value, list):
        return Line(label, "; ".join(map(_listed, value)) or "none")
    if isinstance(value, str):
        value = CHOICES.get(value, value) if output != "kind" else value
    return Line(label, figure(value, unit, places))


def _listed(value: Any) -> str:
    return " – ".join(value) if isinstance(value, list) else str(value)


def _volts_tone(volts: float) -> str:
    return "" if volts >= 9 else "stop"
