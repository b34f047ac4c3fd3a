"""The deviation that gear may cause at a compass."""

from typing import Any

from planner.engine.sums.inputs import read_choice, read_number
from planner.engine.sums.results import SumResult

DEGREE_MICROTESLA = {"standard": 5.4, "steering": 18.0}
MOST_MICROTESLA = 1000


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
            "Swing the compass again after fitting.",
        ),
    )
