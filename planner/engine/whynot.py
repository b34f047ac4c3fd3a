""" "Why not ...?": what it would cost to have it so, or the fewest things that forbid it."""

from collections.abc import Callable
from typing import Any

from planner.engine.explain import name_of, say_acts
from planner.engine.facts import Case
from planner.engine.faults import SearchStoppedError
from planner.engine.inquiry import Inquiry
from planner.engine.pins import ModelPin, Pin, SwitchPin, UnitPin, allow_swaps, read_pins
from planner.engine.plans import plan_of
from planner.engine.problem import Problem
from planner.engine.reading import read_case
from planner.engine.words import listed, money

JsonDict = dict[str, Any]


def why_not(
    case: JsonDict,
    pin: JsonDict,
    *,
    plan: JsonDict | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> JsonDict:
    """Plan with the pin forced and compare with `plan`, or with the cheapest plan.

    Gives `possible` (null where the search was ended first), `extra_cents` (negative where a
    given plan is not the cheapest of its like), `answer_total_cents`, `forbidden_by` (ids of
    the fewest statements, requests and limits that forbid it; empty where nothing of the case
    but boat and catalogue do), `plan` (the cheapest plan with the pin) and `text`. Raises
    `CaseFault` for a case or pin that cannot be read.
    """
    facts = read_case(case)
    pins = read_pins(facts, [pin])
    problem = Problem(allow_swaps(facts, pins))
    inquiry = Inquiry(problem, should_stop)
    told: JsonDict = {
        "possible": None,
        "extra_cents": None,
        "answer_total_cents": None if plan is None else plan["total_cents"],
        "forbidden_by": [],
        "plan": None,
        "text": "Not known: the time given was too short to prove it.",
    }
    try:
        return told | _answer(inquiry, pins, plan, Problem(facts) if plan is None else None)
    except SearchStoppedError:
        return told


def _answer(
    inquiry: Inquiry, pins: tuple[Pin, ...], plan: JsonDict | None, free: Problem | None
) -> JsonDict:
    """The answer; `free` is the case without any pin, to find the cheapest where none is given."""
    facts, problem = inquiry.problem.case, inquiry.problem
    total = None if plan is None else plan["total_cents"]
    if free is not None:
        best = Inquiry(free, inquiry.should_stop).cheapest()
        total = None if best is None else plan_of(free, best)["total_cents"]
    found = inquiry.cheapest(pins)
    if found is None:
        names = inquiry.forbidders(pins)
        words = _forbidden(facts, names) if names else _never(problem, pins[0])
        return {
            "possible": False,
            "answer_total_cents": total,
            "forbidden_by": names,
            "text": words,
        }
    wanted = plan_of(problem, found)
    extra = None if total is None else wanted["total_cents"] - total
    return {
        "possible": True,
        "extra_cents": extra,
        "answer_total_cents": total,
        "plan": wanted,
        "text": f"Possible{_price(extra)}: {say_acts(facts, wanted)}. "
        f"{money(wanted['total_cents'])} in all.",
    }


def _price(extra: int | None) -> str:
    if extra is None:
        return ""
    if extra == 0:
        return ", at the same cost"
    return f", for {money(extra)} more" if extra > 0 else f", for {money(-extra)} less"


def _forbidden(facts: Case, names: list[str]) -> str:
    words = listed([name_of(facts, name) for name in names])
    if len(names) == 1:
        return f"Not possible, because of {words}."
    return f"Not possible together with {words}; with any one of these given up it is."


def _never(problem: Problem, pin: Pin) -> str:
    """What boat and catalogue alone say against a pin."""
    if isinstance(pin, UnitPin):
        slots = (*problem.slots, *problem.switch_slots)
        lists = (*problem.options, *problem.switch_options)
        at = next(n for n, slot in enumerate(slots) if slot.id == pin.unit)
        if not any(pin.lets(option) for option in lists[at]):
            return _out_of_reach(problem.case, pin)
    elif isinstance(pin, SwitchPin):
        facts = problem.case
        allowed = pin.model is None or pin.model in facts.switch_models
        if not allowed or pin.location not in facts.switch_locations:
            named = pin.model or "switch"
            return f"Not possible: the job allows no new {named} at {pin.location}."
    elif isinstance(pin, ModelPin):
        return f"Not possible without a new {pin.model}: ports, places and cables decide."
    return "Not possible in any plan: ports and cables aboard do not reach that far."


def _out_of_reach(facts: Case, pin: UnitPin) -> str:
    model = facts.models.get(pin.model or "")
    if model is not None and model.price_cents is None:
        return f"Not possible: {model.id} cannot be bought."
    if pin.release is not None:
        return f"Not possible: no update leads {pin.unit} to release {pin.release}."
    if model is not None and not any(fuse.ma == model.fuse_ma for fuse in facts.fuses):
        return f"Not possible: nothing in the job lets {pin.unit} become a {model.id}, or nobody \
sells its fuse."
    return f"Not possible: that never becomes of {pin.unit} in a plan for this job."
