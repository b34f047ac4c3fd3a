"""What a conductor may carry, by 33 CFR 183.425 Table 5 and its notes."""

from typing import Any

from planner.engine.sums import words
from planner.engine.sums.gauges import (
    ENGINE_SPACE_PERCENT,
    ENGINE_SPACE_SEEN,
    IN_TABLE_5,
    RATINGS_C,
    SOLD,
    TABLE_5,
    bundle_percent,
)
from planner.engine.sums.inputs import read_choice, read_flag, read_rating, read_whole
from planner.engine.sums.results import SumResult

MOST_CONDUCTORS = 1000


def find_ampacity(
    *, awg: Any, insulation_c: Any, engine_space: Any = False, bundled: Any = 2
) -> SumResult:
    """Amperes that a conductor may carry; `bundled` counts current-carrying conductors."""
    gauge = read_choice("awg", awg, IN_TABLE_5)
    rating, inside, count = read_surroundings(insulation_c, engine_space, bundled)
    return SumResult(
        values={"amps": allowed_amps(gauge, rating, inside, count)},
        formula="A = Table 5 × engine space factor (note 1) × bundle factor (note 2)",
        source=f"{words.TABLE_5}, notes 1 and 2",
        inputs=surroundings(gauge, rating, inside, count),
        notes=(*surroundings_notes(gauge, rating, inside, count), words.LAW_BINDS, words.ESTIMATE),
    )


def read_surroundings(insulation_c: Any, engine_space: Any, bundled: Any) -> tuple[int, bool, int]:
    """Check insulation rating, engine space and bundle, in that order."""
    return (
        read_rating("insulation_c", insulation_c, RATINGS_C, "Table 5 has insulation of"),
        read_flag("engine_space", engine_space),
        read_whole("bundled", bundled, least=1, most=MOST_CONDUCTORS, unit="conductor"),
    )


def surroundings(gauge: str, rating: int, inside: bool, count: int) -> dict[str, Any]:
    """The inputs as used."""
    return {"awg": gauge, "insulation_c": rating, "engine_space": inside, "bundled": count}


def allowed_amps(gauge: str, rating: int, inside: bool, count: int) -> float:
    """Table 5 with both factors. Whole per cents keep 24.5 A at 24.5 A, not a hair under."""
    amps = TABLE_5[gauge][RATINGS_C.index(rating)]
    inside_percent = ENGINE_SPACE_PERCENT[rating] if inside else 100
    return amps * inside_percent * bundle_percent(count) / 10_000


def smallest_for_current(amps: float, rating: int, inside: bool, count: int) -> str | None:
    """The smallest size sold that may carry the current; None beyond 4/0."""
    for gauge in SOLD:
        if allowed_amps(gauge, rating, inside, count) >= amps:
            return gauge
    return None


def surroundings_notes(gauge: str | None, rating: int, inside: bool, count: int) -> tuple[str, ...]:
    """Cautions that follow from where the conductor lies."""
    notes = []
    if inside and rating not in ENGINE_SPACE_SEEN:
        percent = ENGINE_SPACE_PERCENT[rating]
        notes.append(f"The engine space factor {percent / 100:.2f} of {rating} °C is from memory.")
    if inside and rating < 75:
        notes.append(
            "ABYC E-11 asks for insulation of 75 °C or more, oil resistant, in engine spaces."
        )
    if count >= 3:
        notes.append(words.BUNDLES_UNDER_50_V)
    if gauge == "18":
        notes.append(words.SMALLEST)
    return tuple(notes)
