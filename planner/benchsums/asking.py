"""Asking a sum for a shop: the refusal of the engine becomes the shop's own error."""

from typing import Any

from planner.benchsums.answers import answer_sum
from planner.benchsums.rules import rules_of
from planner.engine.sums import SumFault
from shopapp.errors import FactRefused


def ask_sum(*, shop: int, name: str, given: Any) -> dict[str, Any]:
    """The answer as JSON takes it, with what the shop's rules say; FactRefused by its field."""
    if not isinstance(given, dict):
        raise FactRefused("The inputs are not an object with the inputs by name.", field="in")
    try:
        return answer_sum(name=name, given=given, rules=rules_of(shop)).as_dict()
    except SumFault as fault:
        raise FactRefused(fault.message, field=fault.field) from fault
