"""Whether the battery holds through a firmware update."""

from typing import Any

from planner.engine.sums import words
from planner.engine.sums.conductor import MOST_AMPS, MOST_FEET, OHM_CIRCULAR_MILS_PER_FT
from planner.engine.sums.gauges import SAE_MINIMUM, SOLD
from planner.engine.sums.inputs import read_choice, read_number, read_number_or_zero, read_rating
from planner.engine.sums.results import SumResult

SYSTEM_VOLTS = (12, 24, 36, 48)
CHEMISTRIES = ("lead", "lithium", "unknown")
CHARGER = ("yes", "no", "unknown")
RESTED_WITH_CHARGER = 12.2
RESTED_ALONE = 12.6
"""Volts of a rested 12 V lead-acid bank, common practice, no source."""
LOWEST_SHARE = 0.9
"""IEC 60945: a battery supply may fall 10 % under its nominal volts (from memory)."""

_FORMULA = (
    "rested ≥ 12.2 V with a charger on, ≥ 12.6 V without (× system volts / 12); plug = rested − "
    "10.75 × amps × round trip ft / circular mils, ≥ 90 % of system volts"
)
_SOURCE = f"resting volts: common practice, no source; {words.E11}; 90 %: IEC 60945, from memory"
_CAUTIONS = (
    "No cranking and no other heavy load while it runs; tape the cut-off. Never break an update "
    "off: a unit may not come back.",
    "Back up waypoints and settings first.",
    words.ESTIMATE,
)


def find_update_volts(
    *,
    rested_volts: Any,
    system_volts: Any,
    chemistry: Any,
    charger: Any,
    load_amps: Any,
    round_trip_ft: Any,
    awg: Any,
) -> SumResult:
    """Whether the power holds (`holds`: yes, no or unknown), and the volts at the plug under load.

    `load_amps` is all that is on during the update, `round_trip_ft` from the bank and back.
    """
    system = read_rating("system_volts", system_volts, SYSTEM_VOLTS, "systems have")
    read: dict[str, Any] = {
        "rested_volts": read_number("rested_volts", rested_volts, most=system * 1.5, unit="V"),
        "system_volts": system,
        "chemistry": read_choice("chemistry", chemistry, CHEMISTRIES),
        "charger": read_choice("charger", charger, CHARGER),
        "load_amps": read_number_or_zero("load_amps", load_amps, most=MOST_AMPS, unit="A"),
        "round_trip_ft": read_number("round_trip_ft", round_trip_ft, most=MOST_FEET, unit="ft"),
        "awg": read_choice("awg", awg, SOLD),
    }
    values, margin = _weigh(read)
    return SumResult(
        values=values,
        formula=_FORMULA,
        source=_SOURCE,
        inputs=read,
        notes=_CAUTIONS,
        margin=margin,
    )


def _weigh(read: dict[str, Any]) -> tuple[dict[str, Any], dict[str, float | None]]:
    rested, system, kind = read["rested_volts"], read["system_volts"], read["chemistry"]
    run = OHM_CIRCULAR_MILS_PER_FT * read["load_amps"] * read["round_trip_ft"]
    plug, lowest = rested - run / SAE_MINIMUM[read["awg"]], system * LOWEST_SHARE
    needed = rested_needed(system, charging=read["charger"] == "yes")
    holds, why = _judge(rested, needed, kind, read["charger"], system)
    if plug < lowest:
        holds, why = "no", f"Under load the plug has {plug:.1f} V; {lowest:.1f} V is the least."
    told = needed if kind == "lead" else None
    values = {"holds": holds, "needed_volts": told, "plug_volts": plug, "why": why}
    spare = None if told is None else rested - told
    return values, {"rested_volts": spare, "plug_volts": plug - lowest}


def rested_needed(system_volts: float, *, charging: bool) -> float:
    """Volts at which a rested lead-acid bank holds through an update, with or without a charger.

    Millivolts are whole, so that 36.6 V suffices where 36.6 V is asked for.
    """
    volts_of_12 = RESTED_WITH_CHARGER if charging else RESTED_ALONE
    return round(volts_of_12 * system_volts / 12, 3)


def _judge(rested: float, needed: float, kind: str, fed: str, system: int) -> tuple[str, str]:
    empty = rested_needed(system, charging=True)
    if rested < empty:
        return "no", f"{rested:g} V rested is too low: charge the bank first ({empty:g} V)."
    if kind == "unknown":
        return "unknown", "The bank's kind is not known, and resting volts mean other things by it."
    if kind == "lithium":
        return "unknown", (
            "Lithium iron phosphate rests near the same volts at almost any charge: judge it by "
            "its own monitor, with a charger on (from memory: 12.9 V of a 12 V bank is low)."
        )
    if rested >= needed:
        return "yes", "The rested volts suffice."
    if fed == "unknown":
        return "unknown", f"{rested:g} V suffices with a charger on: look whether it is on."
    return "no", f"{rested:g} V suffices only with a charger on: switch it on, or charge first."
