"""The deviation that gear may cause at a compass, and the distance that keeps it so."""

from typing import Any

from planner.engine.sums.inputs import read_choice, read_number
from planner.engine.sums.results import SumResult

DEGREE_MICROTESLA = {"standard": 5.4, "steering": 18.0}
MOST_MICROTESLA = 1000
DEFAULT_CM = 90
"""3 ft, where the maker gives no distance: a public note."""
COMPASS_FORMULA = "distance to the nearest compass ≥ the model's compass-safe distance"
COMPASS_SOURCE = "ISO 25862 / IEC 60945; 3 ft where the maker gives none: a public note"
_SWING = "Swing the compass again after fitting."
_MOST_CM = 5000


def find_largest_deviation(*, field_ut: Any, kind: Any) -> SumResult:
    """Degrees that gear at its compass-safe distance may turn a compass.

    `field_ut` is the earth's horizontal field at the place, in microtesla.
    """
    strength = read_number("field_ut", field_ut, most=MOST_MICROTESLA, unit="µT")
    compass = read_choice("kind", kind, tuple(DEGREE_MICROTESLA))
    return SumResult(
        values={"largest_deviation_deg": DEGREE_MICROTESLA[compass] / strength},
        formula=f"degrees = {DEGREE_MICROTESLA[compass]:g} / horizontal field in µT",
        source="ISO 25862 / IEC 60945",
        inputs={"field_ut": strength, "kind": compass},
        notes=(
            "Safe distances are rounded up to 5 or 10 cm; where the maker gives none, 3 ft "
            "(0.9 m) is a common default.",
            _SWING,
        ),
    )


def check_compass(*, there_cm: Any, safe_cm: Any = None) -> SumResult:
    """Whether a unit is far enough from the nearest compass; `safe_cm` null: the maker says none.

    Of two compasses each with its own distance, the one nearer to its limit is asked for.
    """
    there = read_number("there_cm", there_cm, most=_MOST_CM, unit="cm")
    safe = None if safe_cm is None else read_number("safe_cm", safe_cm, most=_MOST_CM, unit="cm")
    verdict, why, asked = judge_compass(safe, there, DEFAULT_CM)
    return SumResult(
        values={"verdict": verdict, "why": why, "needed_cm": asked},
        formula=COMPASS_FORMULA,
        source=COMPASS_SOURCE,
        inputs={"there_cm": there, "safe_cm": safe},
        notes=(
            "Standard and steering compass have distances of their own in the maker's guide; at "
            "60 % of them only for restricted service.",
            "Loudspeakers, motors and wires that are not twisted count too.",
            _SWING,
        ),
        margin={"there_cm": there - asked},
    )


def judge_compass(
    safe_cm: float | None, there_cm: float | None, default_cm: float
) -> tuple[str, str, float]:
    """State, words and the centimetres asked for; without the maker's distance never good."""
    asked = default_cm if safe_cm is None else safe_cm
    if there_cm is None:
        return "unknown", "how far it is from a compass is not noted.", asked
    told = f"{there_cm:g} cm from the nearest compass"
    if safe_cm is None:
        state = "unknown" if there_cm < default_cm else "look"
        usual = f"its maker's distance is not noted, {default_cm:g} cm is the usual one."
        return state, f"{told}; {usual}", asked
    return "good" if there_cm >= safe_cm else "stop", f"{told}; {safe_cm:g} cm is asked for.", asked
