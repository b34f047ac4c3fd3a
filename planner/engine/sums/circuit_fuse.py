"""The fuse of one circuit: its rating against unit, load and conductor, its colour, its place.

The checks of a plan ask the same rules: `wanted_amps`, `judge_fuse`, `judge_fuse_place`.
"""

from typing import Any

from planner.engine.sums import words
from planner.engine.sums.conductor import MOST_AMPS
from planner.engine.sums.current import (
    allowed_amps,
    read_surroundings,
    surroundings,
    surroundings_notes,
)
from planner.engine.sums.fuses import (
    BLADE_COLOURS,
    LARGE_BLADE_COLOURS,
    NEVER_LARGER,
    RATINGS,
    READ_THE_NUMBER,
)
from planner.engine.sums.gauges import IN_TABLE_5
from planner.engine.sums.inputs import read_choice, read_number, read_number_or_zero
from planner.engine.sums.mounting import YES_NO, Verdict, worse
from planner.engine.sums.results import SumResult

LOAD_PERCENT = 125
"""Common practice, no source."""
FUSE_PERCENT = 150
"""33 CFR 183.455(c)(1), under 50 V."""
OPEN_INCHES, COVERED_INCHES = 7, 40
FUSE_FORMULA = (
    "125 % of the load ≤ fuse ≤ 150 % of what the wire may carry, and what the unit's maker asks "
    "for"
)
PLACE_FORMULA = (
    f"at most {OPEN_INCHES} in from the source, {COVERED_INCHES} in where the wire is in a sheath "
    "or enclosure all the way"
)
FUSE_SOURCE = (
    f"{words.OVERCURRENT}; {words.TABLE_5}; colours: ISO 8820-3 scheme; 125 %: common practice, no "
    "source"
)
PLACED = "33 CFR 183.455(b)"
BATTERY_NOTE = "Straight from the battery terminal 72 in is from memory."
_NOTES = (
    NEVER_LARGER,
    READ_THE_NUMBER,
    BATTERY_NOTE,
    "From 50 V the limit is 100 % (33 CFR 183.455(c)(2)): this sum is for less.",
    words.LAW_BINDS,
    words.ESTIMATE,
)
_HAIR = 1e-9
_MOST_INCHES = 1200


def check_circuit_fuse(
    *,
    continuous_amps: Any,
    awg: Any,
    insulation_c: Any = 105,
    engine_space: Any = False,
    bundled: Any = 2,
    maker_amps: Any = None,
    fitted_amps: Any = None,
    inches: Any = None,
    sheathed: Any = "unknown",
) -> SumResult:
    """The fuse of a circuit under 50 V: the one to fit, or whether the one fitted is right.

    `maker_amps` is what the unit's maker asks for, `fitted_amps` the rating read from the fuse,
    `inches` the way from the source to it; each null where not known or not there yet.
    """
    load = read_number("continuous_amps", continuous_amps, most=MOST_AMPS, unit="A")
    called, fitted = _rating("maker_amps", maker_amps), _rating("fitted_amps", fitted_amps)
    gauge = read_choice("awg", awg, IN_TABLE_5)
    place = read_surroundings(insulation_c, engine_space, bundled)
    read: dict[str, Any] = {
        "continuous_amps": load,
        "maker_amps": called,
        "fitted_amps": fitted,
        **surroundings(gauge, *place),
        "inches": inches if inches is None else _inches(inches),
        "sheathed": read_choice("sheathed", sheathed, YES_NO),
    }
    wanted = wanted_amps(load, called)
    most = allowed_amps(gauge, *place) * FUSE_PERCENT / 100
    verdict, why = _verdict(fitted or wanted, most, read)
    colour = None if wanted is None else colour_of(wanted)
    return SumResult(
        values={
            "verdict": verdict, "why": why, "amps": wanted, "colour": colour, "most_amps": most,
        },
        formula=f"{FUSE_FORMULA}; {PLACE_FORMULA}",
        source=f"{FUSE_SOURCE}; {PLACED}",
        inputs=read,
        notes=(*surroundings_notes(gauge, *place), *_NOTES),
        margin={"most_amps": None if wanted is None else most - (fitted or wanted)},
    )  # fmt: skip


def wanted_amps(
    load: float, called: float | None, load_percent: float = LOAD_PERCENT
) -> float | None:
    """What the maker asks for; without that the smallest sold for the load and its reserve."""
    if called is not None:
        return called
    wanted = load * load_percent / 100
    return next((float(rating) for rating in RATINGS if wanted <= rating + _HAIR), None)


def colour_of(amps: float) -> str:
    """Colour of a blade fuse, "large blade, …" above 40 A; "" for a rating not sold as a blade."""
    if amps in BLADE_COLOURS:
        return BLADE_COLOURS[amps]
    return f"large blade, {LARGE_BLADE_COLOURS[int(amps)]}" if amps in RATINGS else ""


def judge_fuse(
    *,
    fuse: float,
    load: float,
    called: float | None,
    least: float | None,
    most: float | None,
    load_percent: float = LOAD_PERCENT,
) -> Verdict:
    """A fuse against wire, maker and load.

    `least` and `most` are what the wire allows at its worst and at its best, where not all is
    known of it; both null where its gauge is not known.
    """
    rated = f"the {fuse:g} A fuse"
    wrong = _wrong(rated, fuse, load, called, most)
    if wrong:
        return "stop", wrong
    if least is None or fuse > least + _HAIR:
        return "unknown", f"whether {rated} protects the wire is not known."
    if called is not None and fuse < called - _HAIR:
        asked = f"is smaller than the {called:g} A that the maker asks for"
        return "look", f"{rated} {asked}: it may blow at start."
    if called is None and fuse < load * load_percent / 100 - _HAIR:
        drawn = f"is less than {load_percent:g} % of the {load:.4g} A drawn"
        return "look", f"{rated} {drawn}: it may blow at start."
    asked = ", as its maker asks" if called == fuse else ""
    return "good", f"{rated}{asked}; the wire allows {least:.4g} A at least."


def _wrong(rated: str, fuse: float, load: float, called: float | None, most: float | None) -> str:
    if most is not None and fuse > most + _HAIR:
        return f"{rated} does not protect the wire, which allows {most:.4g} A."
    if called is not None and fuse > called + _HAIR:
        return f"{rated} is more than the {called:g} A that the unit's maker asks for."
    return f"{rated} blows: {load:.4g} A are drawn." if fuse < load - _HAIR else ""


def judge_fuse_place(inches: float | None, sheathed: str) -> Verdict:
    """How far a fuse may be from its source; `sheathed` is yes, no or unknown."""
    if inches is None:
        return "unknown", "how far the fuse is from the source is not known."
    told = f"the fuse is {inches:g} in from its source"
    if inches <= OPEN_INCHES:
        return "good", f"{told}."
    if inches <= COVERED_INCHES and sheathed == "unknown":
        return "unknown", f"{told}; whether the wire is sheathed or enclosed is not known."
    if inches <= COVERED_INCHES and sheathed == "yes":
        return "good", f"{told}, the wire covered all the way."
    return "stop", f"{told}: the wire ahead of it is unprotected."


def _verdict(fuse: float | None, most: float, read: dict[str, Any]) -> Verdict:
    load = read["continuous_amps"]
    if fuse is None:
        wanted = load * LOAD_PERCENT / 100
        return "stop", f"No blade fuse is sold for {wanted:g} A: take a breaker."
    rating = judge_fuse(fuse=fuse, load=load, called=read["maker_amps"], least=most, most=most)
    placed = judge_fuse_place(read["inches"], read["sheathed"])
    return worse(*((state, why[0].upper() + why[1:]) for state, why in (rating, placed)))


def _inches(value: Any) -> float:
    return read_number_or_zero("inches", value, most=_MOST_INCHES, unit="in")


def _rating(field: str, value: Any) -> float | None:
    return None if value is None else read_number(field, value, most=MOST_AMPS, unit="A")
