"""Tables to look up at the boat: colours of wires, power over an Ethernet cable."""

from typing import Any

from planner.engine.sums.inputs import read_choice, read_rating
from planner.engine.sums.results import SumResult

WIRE_COLOURS = {
    "dc_positive": "red",
    "dc_negative": "black or yellow",
    "bonding": "green or green with yellow stripe",
    "starting": "yellow with red stripe",
    "bilge_blower": "brown with yellow stripe",
    "navigation_lights": "dark grey",
    "pumps": "brown",
    "accessory": "orange",
    "ignition": "purple",
    "cabin_lights": "dark blue",
    "oil_pressure": "light blue",
    "water_temperature": "tan",
    "fuel_gauge": "pink",
    "tilt_down": "green with any stripe but yellow",
    "tilt_up": "blue with any stripe",
    "generator_field": "yellow",
    "ac_neutral": "white",
    "ac_hot": "black or brown",
    "bus_positive": "red",
    "bus_negative": "black",
    "bus_high": "white",
    "bus_low": "blue",
    "bus_shield": "bare",
}
"""ABYC E-11 colours and those of the NMEA 2000 cable, as reproduced publicly."""

COLOURS = "ABYC E-11 colour table as reproduced publicly"
BUS_COLOURS = "NMEA 2000 cable table in a public cabling guide"
POE = {
    1: ("802.3af", 15.4, 12.95, "2"),
    2: ("802.3at", 30.0, 25.5, "2"),
    3: ("802.3bt", 60.0, 51.0, "2 or 4"),
    4: ("802.3bt", 90.0, 71.3, "4"),
}
"""IEEE 802.3 by type: standard, watts at the source and at the device, pairs powered."""


def find_wire_colour(*, circuit: Any) -> SumResult:
    """The colour of a circuit's wire."""
    kind = read_choice("circuit", circuit, tuple(WIRE_COLOURS))
    notes = ["The federal text sets no colour code (from memory). Older boats differ: trace it."]
    if kind in {"dc_negative", "bilge_blower"}:
        notes.insert(0, "Never yellow for both the negative and the blower of one boat.")
    if kind.startswith("ac_"):
        notes.insert(0, "Alternating current kills: shore power off, a licensed person's work.")
    return SumResult(
        values={"colour": WIRE_COLOURS[kind]},
        formula="as listed",
        source=BUS_COLOURS if kind.startswith("bus_") else COLOURS,
        inputs={"circuit": kind},
        notes=(*notes, "Measure before you trust a colour."),
    )


def find_poe_power(*, poe_type: Any) -> SumResult:
    """What a type of power over Ethernet gives at the source and leaves at the device."""
    kind = read_rating("poe_type", poe_type, tuple(POE), "there are the types")
    standard, source, device, pairs = POE[kind]
    return SumResult(
        values={
            "standard": standard,
            "source_watts": source,
            "device_watts": device,
            "pairs": pairs,
        },
        formula="as listed",
        source="IEEE 802.3 table in public notes",
        inputs={"poe_type": kind},
        notes=(
            "Marine devices may be passive, by no standard: read their guide first.",
            "Mode A: pairs 1-2 and 3-6; mode B: 4-5 (+) and 7-8 (-).",
        ),
        margin={"lost_watts": source - device},
    )
