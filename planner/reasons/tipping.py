"""How far a price, the labour rate or a length may move before another option is cheapest."""

from typing import Any

from planner import engine
from planner.reasons.chosen import Chosen, in_page

JsonDict = dict[str, Any]


def tipping_page(chosen: Chosen) -> JsonDict:
    """The facts of the page."""
    told = engine.sensitivity(
        chosen.case, chosen.run.answer, option=chosen.number - 1, should_stop=in_page()
    )
    return {"told": told}
