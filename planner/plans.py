"""Reading a kept answer: its columns, its units, the ways of its cables. Pure, no records."""

import heapq
from dataclasses import dataclass, field
from datetime import date
from itertools import count
from typing import Any

JsonDict = dict[str, Any]
STRATEGIES = {
    "cheapest": "Cheapest",
    "keep_all": "Keeps everything",
    "fewest_changes": "Fewest changes",
    "newest": "Newest firmware",
}


@dataclass(frozen=True)
class Column:
    """One plan of an answer and the strategies that chose it."""

    plan: JsonDict
    strategies: list[str] = field(default_factory=list)


def plan_columns(answer: JsonDict) -> list[Column]:
    """The options, cheapest first, then the strategies' plans that are none of them."""
    if not answer.get("feasible"):
        return []
    columns = [Column(plan) for plan in answer.get("options", [])]
    signs = [_sign(column.plan) for column in columns]
    for strategy in STRATEGIES:
        plan = answer.get("strategies", {}).get(strategy)
        if plan is None:
            continue
        if _sign(plan) not in signs:
            signs.append(_sign(plan))
            columns.append(Column(plan))
        columns[signs.index(_sign(plan))].strategies.append(strategy)
    return columns


def _sign(plan: JsonDict) -> tuple[Any, ...]:
    """What makes two plans one column: the same units at the same ends for the same money."""
    units = sorted((u["unit"], u["model"], u["fate"], u["networked"]) for u in _known(plan))
    new = sorted(u["model"] for u in plan["units"] if u["unit"].startswith("new"))
    return plan["total_cents"], plan["changes"], plan["behind"], tuple(units), tuple(new)


def _known(plan: JsonDict) -> list[JsonDict]:
    return [unit for unit in plan["units"] if not unit["unit"].startswith("new")]


def units_of(plan: JsonDict) -> list[JsonDict]:
    """The units that draw power at the end: aboard and not disconnected."""
    return [u for u in plan["units"] if u["fate"] not in {"removed", "disconnected"}]


def route_of(case: JsonDict, start: str, end: str) -> list[frozenset[str]]:
    """The pairs of locations along the shortest way; none within one location or without a way."""
    order = count()
    waiting: list[tuple[int, int, str, list[frozenset[str]]]] = [(0, next(order), start, [])]
    seen: set[str] = set()
    while waiting:
        feet, _, place, way = heapq.heappop(waiting)
        if place == end:
            return way
        if place in seen:
            continue
        seen.add(place)
        for route in case["boat"]["routes"]:
            if place in route["between"]:
                a, b = route["between"]
                step = (feet + route["feet"], next(order), b if place == a else a)
                heapq.heappush(waiting, (*step, [*way, frozenset((a, b))]))
    return []


def distance_ft(case: JsonDict, start: str, end: str) -> int:
    """The length of the shortest way, in feet."""
    feet = {frozenset(r["between"]): r["feet"] for r in reversed(_by_length(case))}
    return sum(feet[step] for step in route_of(case, start, end))


def _by_length(case: JsonDict) -> list[JsonDict]:
    return sorted(case["boat"]["routes"], key=lambda route: route["feet"])


def slim(case: JsonDict, plan: JsonDict) -> JsonDict:
    """The case with only what telling this one plan's ports and steps needs: quicker to read."""
    used = {unit["model"] for unit in plan["units"]}
    used |= {device["model"] for device in case["boat"]["devices"]}
    catalogue = case["catalogue"]
    models = {
        code: model | {"successors": []}
        for code, model in catalogue["models"].items()
        if code in used
    }
    job = case["job"] | {
        "requests": [],
        "switches": {"models": [], "locations": [], "max_new": 0},
    }
    return case | {"catalogue": catalogue | {"models": models, "statements": []}, "job": job}


def known_on(case: JsonDict) -> date:
    """The day on which the case was made; without one, nothing counts as old."""
    text = case.get("show", {}).get("on")
    return date.fromisoformat(text) if text else date.min


def device_of(case: JsonDict, name: str) -> JsonDict | None:
    """The unit aboard of that name, as it was; None for a new one."""
    return next((d for d in case["boat"]["devices"] if d["id"] == name), None)


def model_name(case: JsonDict, code: str) -> str:
    """A model's name as it stood."""
    return case.get("show", {}).get("models", {}).get(code, {}).get("name") or code


def unit_label(case: JsonDict, unit: JsonDict) -> str:
    """A unit by its own name aboard; a new one by its model until a job has `named` it."""
    if device_of(case, unit["unit"]) or unit.get("named"):
        return unit["unit"]
    return f"new {model_name(case, unit['model'])}"
