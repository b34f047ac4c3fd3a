"""Days that a battery bank lasts under what draws from it all the time."""

from typing import Any

from planner.engine.sums.inputs import read_number
from planner.engine.sums.results import SumResult

LOOK_DAYS, STOP_DAYS = 30, 7
"""Under 30 days a second look, under 7 no bank is left alone: common practice, no source."""


def find_standby_days(*, draw_ma: Any, bank_ah: Any, usable_percent: Any) -> SumResult:
    """Days until the usable part of a bank is drawn."""
    draw = read_number("draw_ma", draw_ma, most=1_000_000, unit="mA")
    bank = read_number("bank_ah", bank_ah, most=100_000, unit="Ah")
    usable = read_number("usable_percent", usable_percent, most=100, unit="%")
    notes = [
        "Usable part, common practice: lead-acid 50 %, LiFePO4 80 to 90 %.",
        "Lead-acid loses 3 to 5 % a month by itself (from memory), which is not counted here.",
    ]
    if usable <= 1:
        notes.insert(0, f"usable_percent is in per cent: {usable:g} is a hundredth part at most.")
    days = bank * usable * 10 / (draw * 24)
    return SumResult(
        values={"days": days},
        formula="days = Ah × usable / (draw in A × 24)",
        source="derived; usable part by common practice",
        inputs={"draw_ma": draw, "bank_ah": bank, "usable_percent": usable},
        notes=tuple(notes),
        margin={"days": days - LOOK_DAYS},
    )
