"""The planner engine: plain Python, exact, without clock, network, database or randomness.

A *case* (one boat, one catalogue, one job) goes in as a dict, an *answer* comes out: the best
plan of each strategy and the cheapest options of different kinds, or what stands in the way.

Each name is loaded when it is first asked for (PEP 562): who only reads cases or checks a rule
does not wait for the search.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from planner.engine.answer import answer_case, plan_with
    from planner.engine.breakpoints import sensitivity
    from planner.engine.explain import tell_conflict, tell_options
    from planner.engine.faults import CaseFault
    from planner.engine.judging import judge
    from planner.engine.page import tell_page
    from planner.engine.ports import assign_ports
    from planner.engine.questions import usual_questions
    from planner.engine.reading import check_case
    from planner.engine.reasons import explain_plan
    from planner.engine.rule_reading import check_rule
    from planner.engine.steps import order_of_work
    from planner.engine.survey import measure_first
    from planner.engine.whynot import why_not

ENGINE_VERSION = "1.0"

_HOMES = {
    "CaseFault": "faults",
    "answer_case": "answer",
    "assign_ports": "ports",
    "check_case": "reading",
    "check_rule": "rule_reading",
    "explain_plan": "reasons",
    "judge": "judging",
    "measure_first": "survey",
    "order_of_work": "steps",
    "plan_with": "answer",
    "sensitivity": "breakpoints",
    "tell_conflict": "explain",
    "tell_options": "explain",
    "tell_page": "page",
    "usual_questions": "questions",
    "why_not": "whynot",
}

__all__ = [
    "ENGINE_VERSION",
    "CaseFault",
    "answer_case",
    "assign_ports",
    "check_case",
    "check_rule",
    "explain_plan",
    "judge",
    "measure_first",
    "order_of_work",
    "plan_with",
    "sensitivity",
    "tell_conflict",
    "tell_options",
    "tell_page",
    "usual_questions",
    "why_not",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
    globals()[name] = found
    return found
