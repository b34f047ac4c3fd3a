"""Why each unit and each link of a plan is as it is: what forces it, or what else would cost."""

from collections.abc import Callable, Collection, Iterator
from dataclasses import replace
from typing import Any, NamedTuple

from planner.engine.explain import name_of, say_becomes
from planner.engine.faults import SearchStoppedError
from planner.engine.inquiry import Inquiry
from planner.engine.pins import Pin, SwitchPin, UnitPin
from planner.engine.plans import plan_of
from planner.engine.problem import Problem
from planner.engine.reading import read_case
from planner.engine.rewiring import Rewiring
from planner.engine.words import Row, listed, money

JsonDict = dict[str, Any]
_TOO_SHORT = "Not known: the time given was too short to prove it."


class _Other(NamedTuple):
    """The best plan in which one fact is otherwise: what forbids it, or what it costs more."""

    forced_by: list[str]
    more: int | None
    plan: JsonDict | None


def explain_plan(
    case: JsonDict,
    plan: JsonDict,
    *,
    units: Collection[str] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> JsonDict:
    """Say why each unit and each link of a plan of this case is as it is.

    With `units` only of these units and of the links between them and others.

    Gives `units` (each: `unit`, `forced_by`, `next_best_cents`, `text`, and `facts`, the same
    for each of `fate`, `networked` and `release` that could be otherwise) and `links` (each:
    `between`, `cable`, `next_best_cents`, `text`). `next_best_cents` is what the cheapest plan
    in which it is otherwise costs beyond this one (for a link: with the same units otherwise
    joined); null where it is forced, or where time ran out, which `proven` false then says.
    What forces it is a set that none can be left out of, though not always the smallest.
    """
    problem = Problem(read_case(case))

    def asked(name: str) -> bool:
        return units is None or name in units

    telling = _Telling(problem, plan, Inquiry(problem, should_stop))
    return {
        "units": [telling.unit(row) for row in plan["units"] if asked(row["unit"])],
        "links": [telling.link(link) for link in plan["links"] if any(map(asked, link["between"]))],
    }


class _Telling:
    def __init__(self, problem: Problem, plan: JsonDict, inquiry: Inquiry) -> None:
        self.problem = problem
        self.plan = plan
        self.inquiry = inquiry
        slots = (*problem.slots, *problem.switch_slots)
        lists = (*problem.options, *problem.switch_options)
        self.options = {slot.id: lists[n] for n, slot in enumerate(slots)}
        self.rewiring = Rewiring(problem, plan)
        self.now = self.rewiring.now_cents()

    def unit(self, row: Row) -> JsonDict:
        """The reasons for one unit."""
        try:
            return self._unit(row)
        except SearchStoppedError:
            return {
                "unit": row["unit"],
                "forced_by": [],
                "next_best_cents": None,
                "text": _TOO_SHORT,
                "facts": [],
                "proven": False,
            }

    def _unit(self, row: Row) -> JsonDict:
        if row["unit"] not in self.options:
            pin = SwitchPin(row["location"], row["model"], present=False)
            return self._told(row, self._otherwise((pin,)), [])
        facts = [(name, self._otherwise(pins)) for name, pins in self._pins(row)]
        possible = [other for _, other in facts if other.more is not None]
        if possible:
            best = min(possible, key=lambda other: other.more or 0)
        elif len(facts) == 1:
            best = facts[0][1]
        else:
            best = self._otherwise((_all_of(row),))
        return self._told(row, best, facts)

    def _pins(self, row: Row) -> Iterator[tuple[str, tuple[Pin, ...]]]:
        """Each fact that could be otherwise with those before it as they are."""
        name, options = row["unit"], [option.choice for option in self.options[row["unit"]]]
        alike = [c for c in options if (c.fate, c.model.id) == (row["fate"], row["model"])]
        fate = UnitPin(name, row["fate"], row["model"])
        if len(alike) < len(options):
            yield "fate", (replace(fate, inverted=True),)
        joined = [c for c in alike if c.networked == row["networked"]]
        if len(joined) < len(alike):
            yield "networked", (replace(fate, networked=not row["networked"]),)
        if any(c.release != row["release"] for c in joined):
            held = replace(fate, networked=row["networked"])
            yield "release", (held, UnitPin(name, release=row["release"], inverted=True))

    def _otherwise(self, pins: tuple[Pin, ...]) -> _Other:
        found = self.inquiry.cheapest(pins)
        if found is None:
            return _Other(self.inquiry.forbidders(pins, quickly=True), None, None)
        plan = plan_of(self.problem, found)
        return _Other([], plan["total_cents"] - self.plan["total_cents"], plan)

    def _told(self, row: Row, other: _Other, facts: list[tuple[str, _Other]]) -> JsonDict:
        return {
            "unit": row["unit"],
            "forced_by": other.forced_by,
            "next_best_cents": other.more,
            "text": self._words(row, other),
            "facts": [
                {
                    "fact": name,
                    "forced_by": one.forced_by,
                    "next_best_cents": one.more,
                    "text": self._words(row, one),
                }
                for name, one in facts
            ],
        }

    def _words(self, row: Row, other: _Other) -> str:
        facts = self.problem.case
        if other.plan is None:
            if not other.forced_by:
                return "It must be so: ports, places and cables leave no other way."
            names = listed([name_of(facts, name) for name in other.forced_by])
            return f"It must be so because of {names}."
        rows = {one["unit"]: one for one in other.plan["units"]}
        then = rows.get(row["unit"]) if row["unit"] in self.options else None
        words = ": the network is joined without it"
        if then:
            named = f"{then['model']}, " if then["model"] != row["model"] else ""
            words = f": {named}{say_becomes(facts, then)}"
        return f"{_compared(other.more or 0)}{words}."

    def link(self, link: JsonDict) -> JsonDict:
        """The reason for one link."""
        one, two = link["between"]
        other = self.rewiring.without(one, two)
        more = None if other is None or self.now is None else other - self.now
        cable = link["cable"]
        what = "A new cable" if cable.startswith("buy:") else f"The cable aboard {cable} is used"
        text = f"{what} joins them. " if cable.startswith("buy:") else f"{what} again, free. "
        if more is None:
            text += "With these units there is no way to join them without this link."
        elif more == 0:
            text += "Another way to join the same units costs the same."
        else:
            text += f"Joining the same units without it costs {money(more)} more."
        return {
            "between": list(link["between"]),
            "cable": cable,
            "next_best_cents": more,
            "text": text,
        }


def _all_of(row: Row) -> UnitPin:
    return UnitPin(
        row["unit"], row["fate"], row["model"], row["networked"], row["release"], inverted=True
    )


def _compared(more: int) -> str:
    if more == 0:
        return "Otherwise at the same cost"
    return f"Otherwise {money(more)} more" if more > 0 else f"Otherwise {money(-more)} less"
