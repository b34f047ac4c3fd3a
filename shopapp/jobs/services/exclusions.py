"""What a quote does not include, written from the plans and the boat's record.

Pure. The shop's own words come first; then what these plans bring up. Common practice, no source.
"""

from collections.abc import Iterator, Sequence
from typing import Any

JsonDict = dict[str, Any]
OUT = {"removed", "replaced"}
ALOFT = ("mast", "tower", "arch", "aloft", "spreader")


def exclusions_of(
    *, own: str, case: JsonDict, plans: Sequence[JsonDict], dock_power: bool | None
) -> str:
    """One exclusion a line: the shop's, then those of the plans; none said twice."""
    lines = [line.strip() for line in own.splitlines() if line.strip()]
    lines += _of_plans(case, plans)
    if not dock_power:
        known = "has none" if dock_power is False else "is not known to have any"
        lines.append(f"Shore power for the work: the berth {known}.")
    return "\n".join(dict.fromkeys(lines))


def _of_plans(case: JsonDict, plans: Sequence[JsonDict]) -> Iterator[str]:
    models = case["catalogue"]["models"]
    units = [unit for plan in plans for unit in plan["units"]]
    added = [unit for unit in units if unit["fate"] in {"added", "replaced"}]
    kinds = {models[unit["model"]]["kind"] for unit in added}
    if any(unit["fate"] in OUT for unit in units):
        yield "Disposal or sale of the units that come out: they stay yours."
    if any(unit["fate"] == "disconnected" for unit in units):
        yield "Taking out the units that are disconnected and left in place."
    if "display" in kinds:
        yield "Woodwork or panels beyond the cut-out, and closing of old holes."
    if kinds & {"sounder"}:
        yield "Haul-out and bottom work for a transducer in the water."
    if any(place in unit["location"].lower() for unit in added for place in ALOFT):
        yield "A rigger, and taking a mast down."
    if any(plan["updates"] for plan in plans):
        yield "Chart cards and subscriptions, before or after an update."
