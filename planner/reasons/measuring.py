"""What to measure first: unknowns whose bad turn would change the plan, most valuable first."""

from typing import Any

from planner import engine
from planner.reasons.chosen import Chosen
from planner.reasons.turns import turns_of

JsonDict = dict[str, Any]


def measure_page(chosen: Chosen) -> JsonDict:
    """The facts of the list."""
    turns = turns_of(chosen.case, chosen.run.assumptions)
    ranked = engine.measure_first(
        chosen.case, [{"id": turn.id, "change": turn.change} for turn in turns]
    )
    return {"rows": ranked}
