"""The instrument bus: load equivalency, the simple drop, the terminators' resistance."""

import math
from typing import Any

from planner.engine.sums import words
from planner.engine.sums.faults import refuse
from planner.engine.sums.inputs import read_number, read_number_or_zero, read_whole
from planner.engine.sums.results import SumResult

MA_PER_LEN = 50
TERMINATOR_OHMS = 120
TERMINATORS = 2
MOST_DEVICES = 50
LONGEST_DROP_M = 6
LONGEST_DROPS_M = 78
MOST_DEVICE_MA = 1000
LOWEST_NODE_VOLTS = 9
HIGHEST_NODE_VOLTS = 16
"""Node supply 9 to 16 V: from memory."""
USUAL_LIGHT_FUSE_AMPS = 3
MOST_HEAVY_AMPS = 8

CABLE_OHM_PER_M = {"light": 0.053, "mid": 0.0132, "heavy": 0.0132}
"""One conductor. Light as published; mid and heavy from the area of 16 AWG (gauge from memory)."""

LONGEST_BACKBONE_M = {"light": 100, "mid": 250, "heavy": 200}
"""Light and heavy as published; mid from memory."""

FROM_THE_MIDDLE_VOLTS = 1.67
"""Guide 1: above this drop an end feed is refused."""
DROP_LIMITS = (
    "Published limits differ: 1.67 V (above it, feed from the middle), 1.5 V for a 12 V battery, "
    "3.0 V for an isolated 13.8 V supply."
)
MOST_DRAW_MA = 100_000
MOST_LEN = 10_000
MOST_METRES = 10_000
MOST_OHM_PER_M = 10


def find_bus_units(*, draw_ma: Any) -> SumResult:
    """Load equivalency number (LEN): one for every 50 mA begun."""
    draw = read_number_or_zero("draw_ma", draw_ma, most=MOST_DRAW_MA, unit="mA")
    notes = []
    if draw > MOST_DEVICE_MA:
        notes.append("A device may take at most 1000 mA from the network: feed it by itself.")
    return SumResult(
        values={"len": math.ceil(draw / MA_PER_LEN)},
        formula="LEN = draw in mA / 50, rounded up",
        source=words.NMEA_2000,
        inputs={"draw_ma": draw},
        notes=(*notes, "The LEN printed by the maker stands above this sum."),
        margin={"draw_ma": MOST_DEVICE_MA - draw},
    )


def find_bus_drop(*, len: Any, metres: Any, ohm_per_m: Any) -> SumResult:  # noqa: A002 -- the trade's name
    """Volts lost between the feed and the furthest device of `len` LEN in all, `metres` away."""
    load = read_whole("len", len, least=1, most=MOST_LEN, unit="LEN")
    length = read_number("metres", metres, most=MOST_METRES, unit="m")
    ohms = read_number("ohm_per_m", ohm_per_m, most=MOST_OHM_PER_M, unit="Ω/m")
    lost = simple_drop(load, length, ohms)
    return SumResult(
        values={"drop_volts": lost},
        formula="V = 0.1 × LEN × metres × Ω per metre of one conductor",
        source=words.NMEA_2000,
        inputs={"len": load, "metres": length, "ohm_per_m": ohms},
        notes=(
            "It puts the whole load at the far end, so it overstates.",
            DROP_LIMITS,
            "Light cable: 0.053 Ω/m, another guide 0.057 (it prints 0.0057, a slip).",
            words.ESTIMATE,
        ),
        margin={"drop_volts": FROM_THE_MIDDLE_VOLTS - lost},
    )


def simple_drop(load: int, metres: float, ohm_per_m: float) -> float:
    """0.1 is two conductors times 0.05 A."""
    return load * metres * ohm_per_m / 10


def find_bus_ohms(*, terminators: Any) -> SumResult:
    """What a meter reads between the data conductors, power off, with so many terminators."""
    count = read_whole("terminators", terminators, least=0, most=1000, unit="terminator")
    if count == 0:
        refuse("terminators", "With 0 terminators the line is open: a meter gives no reading.")
    notes = ["Measure between the two data conductors with the network's power off."]
    if count != TERMINATORS:
        notes.insert(0, f"A backbone has two terminators (60 Ω), not {count}.")
    return SumResult(
        values={"ohms": TERMINATOR_OHMS / count},
        formula="Ω = 120 / terminators",
        source=f"{words.NMEA_2000}: two terminators of 120 Ω in parallel",
        inputs={"terminators": count},
        notes=tuple(notes),
        margin={"terminators": TERMINATORS - count},
    )
