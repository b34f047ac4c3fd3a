"""From what the search found to a PLAN: units, links, updates in order, parts and sums."""

from collections import Counter
from dataclasses import dataclass
from typing import Any

from planner.engine.choices import ABSENT, STAYS, Choice
from planner.engine.facts import Statement
from planner.engine.nodes import Node
from planner.engine.pools import Found
from planner.engine.problem import LEAF, NODE, Option, Problem


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit of a plan under its id."""

    id: str
    location: int
    option: Option

    @property
    def choice(self) -> Choice:
        """What becomes of it."""
        return self.option.choice


def plan_of(problem: Problem, found: Found) -> dict[str, Any]:
    """Write the plan out; every list in a fixed order."""
    units = _units(problem, found)
    links, bought, pull_minutes = _links(problem, found, units)
    parts: Counter[str] = Counter(bought)
    for unit in units:
        parts.update(dict(unit.choice.parts))
    adapters = _adapters(units, links)
    parts.update(adapters)
    case = problem.case
    cents = {cable.id: cable.price_cents for cable in case.cables_sold}
    parts_cents = sum(u.choice.parts_cents for u in units)
    parts_cents += sum(cents[name] * count for name, count in bought.items())
    parts_cents += sum(case.adapters[name] * count for name, count in adapters.items())
    minutes = pull_minutes + sum(u.choice.minutes for u in units)
    penalty = sum(u.choice.penalty_cents for u in units)
    labour_cents = minutes * case.rates.labour_cents_per_minute
    return {
        "total_cents": parts_cents + labour_cents + penalty,
        "parts_cents": parts_cents,
        "labour_minutes": minutes,
        "penalty_cents": penalty,
        "changes": sum(u.choice.changes for u in units),
        "behind": sum(u.choice.behind for u in units),
        "units": [_shown(problem, unit) for unit in units],
        "links": links,
        "updates": _updates(problem, units),
        "parts": dict(sorted(parts.items())),
    }


def _units(problem: Problem, found: Found) -> list[Unit]:
    index = problem.wiring.index
    named = [
        Unit(slot.id, index[slot.location], option)
        for slot, option in zip(problem.slots, found.units, strict=True)
        if option.choice.fate != ABSENT
    ]
    selection = found.placed.selection
    named += [
        Unit(slot.id, index[slot.location], option)
        for slot, option in zip(problem.switch_slots, selection.switches, strict=True)
    ]
    new = sorted(
        zip(selection.new, found.placed.new_places, strict=True),
        key=lambda item: (item[0].choice.model.id, item[1], item[0].choice.release or ""),
    )
    named += [Unit(f"new{n}", place, option) for n, (option, place) in enumerate(new, 1)]
    return named


def _shown(problem: Problem, unit: Unit) -> dict[str, Any]:
    return {
        "unit": unit.id,
        "model": unit.choice.model.id,
        "location": problem.case.locations[unit.location],
        "networked": unit.choice.networked,
        "release": unit.choice.release,
        "fate": unit.choice.fate,
    }


def _links(
    problem: Problem, found: Found, units: list[Unit]
) -> tuple[list[dict[str, Any]], dict[str, int], int]:
    """The links with their cables, the cables bought, and the minutes to pull them."""
    wiring = problem.wiring
    taken: Counter[tuple[int, int]] = Counter()
    links, bought, minutes = [], Counter[str](), 0
    for one, two in sorted(_ends(found, units), key=lambda pair: (pair[0].id, pair[1].id)):
        key = (min(one.location, two.location), max(one.location, two.location))
        aboard = wiring.aboard.get(key, ())
        if taken[key] < len(aboard):
            cable = aboard[taken[key]].id
        else:
            run = wiring.runs[key[0]][key[1]]
            if run is None:
                raise AssertionError("a link was planned that no cable can make")
            cable = f"buy:{run.cable.id}"
            bought[run.cable.id] += 1
            minutes += run.minutes
        taken[key] += 1
        links.append({"between": [one.id, two.id], "cable": cable})
    return links, dict(bought), minutes


def _ends(found: Found, units: list[Unit]) -> list[tuple[Unit, Unit]]:
    """Every link as two units, smaller id first."""
    nodes = sorted(
        ((_node(unit), unit.id, unit) for unit in units if unit.option.link == NODE),
        key=lambda item: item[:2],
    )
    leaves = [unit for unit in units if unit.option.link == LEAF]
    pairs = [(nodes[i][2], nodes[j][2]) for i, j in found.links.between]
    if not nodes and len(leaves) == 2:
        pairs.append((leaves[0], leaves[1]))
    waiting: dict[int, list[Unit]] = {}
    for unit in sorted(leaves, key=lambda unit: unit.id):
        waiting.setdefault(unit.location, []).append(unit)
    for place, node in found.links.leaves:
        pairs.append((waiting[place].pop(0), nodes[node][2]))
    return [(a, b) if a.id < b.id else (b, a) for a, b in pairs]


def _node(unit: Unit) -> Node:
    if unit.option.node is None:
        raise AssertionError("only a unit that passes traffic on is a node")
    return unit.option.node._replace(location=unit.location)


def _adapters(units: list[Unit], links: list[dict[str, Any]]) -> dict[str, int]:
    ends = Counter(end for link in links for end in link["between"])
    bought: Counter[str] = Counter()
    for unit in units:
        adapter = unit.choice.model.adapter
        there = unit.choice.adapters if unit.choice.fate == STAYS else 0
        if adapter is not None and ends[unit.id] > there:
            bought[adapter] += ends[unit.id] - there
    return dict(bought)


def _updates(problem: Problem, units: list[Unit]) -> list[dict[str, Any]]:
    moving = [unit for unit in units if unit.choice.steps]
    order = ordered(moving, problem.case.statements)
    return [
        {"unit": unit.id, "from": step.start, "to": step.end}
        for unit in order
        for step in unit.choice.steps
    ]


def ordered(units: list[Unit], statements: tuple[Statement, ...]) -> list[Unit]:
    """The units in an order that keeps every `before`; ids decide where it leaves a choice."""
    rules = [s.rule for s in statements if s.rule.verb == "before"]
    left = sorted(units, key=lambda unit: unit.id)
    first: dict[str, set[str]] = {unit.id: set() for unit in left}
    for rule in rules:
        for unit in left:
            if rule.target is not None and _matches(unit, rule.target):
                first[unit.id] |= {u.id for u in left if _matches(u, rule.of)} - {unit.id}
    done: list[Unit] = []
    while left:
        waiting = {unit.id for unit in left}
        ready = next(unit for unit in left if not first[unit.id] & waiting)
        left.remove(ready)
        done.append(ready)
    return done


def _matches(unit: Unit, selector: Any) -> bool:
    choice = unit.choice
    return choice.networked and selector.matches(choice.model, choice.release)
