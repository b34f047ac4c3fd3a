"""Fuses: the largest for a conductor, the one for a load, and the colour of a rating."""

from typing import Any

from planner.engine.sums import words
from planner.engine.sums.conductor import MOST_AMPS
from planner.engine.sums.current import (
    allowed_amps,
    read_surroundings,
    surroundings,
    surroundings_notes,
)
from planner.engine.sums.faults import refuse
from planner.engine.sums.gauges import IN_TABLE_5
from planner.engine.sums.inputs import read_choice, read_number, show
from planner.engine.sums.results import SumResult

BLADE_COLOURS = {
    0.5: "dark blue", 1: "black", 2: "grey", 3: "violet", 4: "pink", 5: "tan", 7.5: "brown",
    10: "red", 15: "blue", 20: "yellow", 25: "clear or white", 30: "green", 35: "blue-green",
    40: "orange",
}  # fmt: skip
"""Blade fuses, ISO 8820-3 scheme, as a public automotive article lists them; 35 A from memory."""

LARGE_BLADE_COLOURS = {
    20: "yellow", 25: "grey", 30: "green", 35: "brown", 40: "orange", 50: "red", 60: "blue",
    70: "tan", 80: "clear", 100: "violet",
}  # fmt: skip
"""Large blade fuses, all from memory."""

RATINGS = (*BLADE_COLOURS, *(amps for amps in LARGE_BLADE_COLOURS if amps > max(BLADE_COLOURS)))
"""Blade fuses sold, smallest first; above 40 A they are large blades."""

_COLOUR_SOURCE = "blade-fuse colour chart in a public automotive article (ISO 8820-3 scheme)"
READ_THE_NUMBER = "Read the number printed on the fuse, not the colour alone."
_AT_THE_SOURCE = (
    "33 CFR 183.455(b): at the source, or within 7 in of it, or within 40 in where a sheath or "
    "enclosure covers the conductor all the way. Straight from the battery terminal 72 in is "
    "from memory."
)
NEVER_LARGER = "Never a larger fuse to stop one from blowing; the device maker may ask for less."
_CUSTOM = "Custom, from memory: not above the ampacity, the next size up only where none fits."
_LARGE = "Above 40 A the blade fuses are large blades; ratings and colours are from memory."


def find_largest_fuse(
    *, awg: Any, insulation_c: Any, engine_space: Any = False, bundled: Any = 2
) -> SumResult:
    """The largest fuse or breaker rating for a conductor under 50 V: 150 % of what it may carry.

    `amps_from_50_volts` is the limit of a circuit of 50 V or more (183.455(c)(2)).
    """
    gauge = read_choice("awg", awg, IN_TABLE_5)
    place = read_surroundings(insulation_c, engine_space, bundled)
    carried = allowed_amps(gauge, *place)
    return SumResult(
        values={"amps": carried * 3 / 2, "amps_from_50_volts": carried},
        formula="A = 150 % × (Table 5 × engine space factor × bundle factor)",
        source=f"{words.OVERCURRENT}(1); {words.TABLE_5}, notes 1 and 2",
        inputs=surroundings(gauge, *place),
        notes=(
            *surroundings_notes(gauge, *place),
            "From 50 V the rating may not exceed the ampacity; where that is no standard size, "
            "the next one up to 150 % (33 CFR 183.455(c)(2)).",
            _AT_THE_SOURCE,
            NEVER_LARGER,
            _CUSTOM,
            words.LAW_BINDS,
            words.ESTIMATE,
        ),
    )


def find_fuse_for_load(*, continuous_amps: Any) -> SumResult:
    """The smallest blade fuse sold that is not under 125 % of a continuous load; null above."""
    load = read_number("continuous_amps", continuous_amps, most=MOST_AMPS, unit="A")
    wanted = load * 1.25
    fuse = next((rating for rating in RATINGS if wanted <= rating), None)
    notes = ["The 125 % is common practice, no source.", NEVER_LARGER]
    if fuse is None:
        notes.insert(0, f"No blade fuse is sold for {wanted:g} A: the largest has {RATINGS[-1]} A.")
    elif fuse > max(BLADE_COLOURS):
        notes.insert(0, _LARGE)
    notes.append("If the conductor allows less than this, it is too thin: take a larger one.")
    return SumResult(
        values={"amps": fuse},
        formula="A = smallest rating sold ≥ 1.25 × continuous amps",
        source="125 % of the continuous load: common practice of the trade",
        inputs={"continuous_amps": load},
        notes=(*notes, words.ESTIMATE),
        margin={"amps": None if fuse is None else fuse - wanted},
    )


def find_fuse_colour(*, amps: Any) -> SumResult:
    """Colour of the blade fuse of a rating; above 40 A of the large blade fuse."""
    rating = read_number("amps", amps, most=MOST_AMPS, unit="A")
    if rating not in RATINGS:
        listed = ", ".join(f"{each:g}" for each in RATINGS)
        refuse("amps", f"No blade fuse of {show(amps)} A is known: they are sold for {listed} A.")
    colour = BLADE_COLOURS.get(rating) or LARGE_BLADE_COLOURS[int(rating)]
    return SumResult(
        values={"colour": colour},
        formula="as listed",
        source=_COLOUR_SOURCE if rating in BLADE_COLOURS else "from memory",
        inputs={"amps": rating},
        notes=(*_colour_notes(rating, colour), READ_THE_NUMBER),
    )


def _colour_notes(rating: float, colour: str) -> list[str]:
    notes = []
    if rating == 35:
        notes.append("The colour of 35 A is from memory, and lists differ: one says rose.")
    if rating not in BLADE_COLOURS:
        notes.append(_LARGE)
    large = LARGE_BLADE_COLOURS.get(int(rating)) if rating in BLADE_COLOURS else None
    if large and large != colour and rating == int(rating):
        notes.append(f"A large blade fuse of this rating is {large} (from memory).")
    return notes
