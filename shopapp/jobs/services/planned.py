"""What a plan buys and does, as items for a quote's lines.

Pure: works on the case and the plan as they are kept, never on the catalogue
of today, so that prices and minutes are those that the plan was made with.
"""

import heapq
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from planner.plans import unit_label

BUY = "buy:"
JsonDict = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Bought:
    """A part that the plan buys: its id in the case, how many, the price of one in cents."""

    part: str
    count: int
    price_cents: int
    equipment: bool
    why: str


@dataclass(frozen=True, slots=True)
class Work:
    """A piece of labour in minutes; `verb` and the ids let the words be made later."""

    verb: str
    minutes: int
    unit: str = ""
    model: str = ""
    old_model: str = ""
    place: str = ""
    detail: str = ""


# Low and high in per cent of the typical minutes: common practice, no source; a shop's own times
# replace them through the labour table.
SPREAD = {
    "fit": (50, 167),
    "remove": (57, 171),
    "swap": (67, 200),
    "fuse": (67, 200),
    "pull": (60, 200),
    "update": (60, 180),
}


def spread_of(item: Work) -> tuple[int, int]:
    """The low and high minutes of a piece of labour around its typical ones."""
    low, high = SPREAD[item.verb]
    return item.minutes * low // 100, -(-item.minutes * high // 100)


def bought_of(case: JsonDict, plan: JsonDict) -> list[Bought]:
    """The parts of the plan: equipment first, each with its price in the case and its reason."""
    prices = _prices(case)
    models = case["catalogue"]["models"]
    found = [
        Bought(part, count, prices[part], part in models, _why(case, plan, part))
        for part, count in plan["parts"].items()
        if count
    ]
    return sorted(found, key=lambda b: (not b.equipment, -b.price_cents, b.part))


def work_of(case: JsonDict, plan: JsonDict) -> list[Work]:
    """The labour of the plan in the order of the trade: take out, fit, run cables, update."""
    devices = {device["id"]: device for device in case["boat"]["devices"]}
    fitting = [
        item
        for unit in plan["units"]
        for item in _fitting(case, unit, devices.get(unit["unit"], {}).get("model"))
    ]
    return [item for item in [*fitting, *_pulls(case, plan), *_updates(case, plan)] if item.minutes]


def _prices(case: JsonDict) -> dict[str, int]:
    catalogue = case["catalogue"]
    shelves = ("models", "adapters", "leads", "fuses", "cables")
    return {name: row["price_cents"] for shelf in shelves for name, row in catalogue[shelf].items()}


def _fitting(case: JsonDict, unit: JsonDict, old: str | None) -> Iterator[Work]:
    models, rates = case["catalogue"]["models"], case["catalogue"]["rates"]
    new, place, who = unit["model"], unit["location"], unit["unit"]
    if unit["fate"] == "added":
        yield Work("fit", models[new]["fit_minutes"], who, new, place=place)
    elif unit["fate"] == "removed":
        yield Work("remove", models[new]["remove_minutes"], who, new, place=place)
    elif unit["fate"] == "replaced":
        if _same_holes(models[old], models[new]):
            yield Work("swap", rates["drop_in_minutes"], who, new, old, place)
        else:
            yield Work("remove", models[old]["remove_minutes"], who, old, place=place)
            yield Work("fit", models[new]["fit_minutes"], who, new, old, place)
        if _fuse_changes(models[old], models[new]):
            yield Work("fuse", rates["fuse_minutes"], who, new, old, place)


def _same_holes(old: JsonDict, new: JsonDict) -> bool:
    return old["mount"] is not None and old["mount"] == new["mount"]


def _fuse_changes(old: JsonDict, new: JsonDict) -> bool:
    return new["fuse_ma"] is not None and new["fuse_ma"] != old["fuse_ma"]


def _pulls(case: JsonDict, plan: JsonDict) -> Iterator[Work]:
    places = {unit["unit"]: unit["location"] for unit in plan["units"]}
    rates = case["catalogue"]["rates"]
    for link in plan["links"]:
        if not link["cable"].startswith(BUY):
            continue
        a, b = link["between"]
        feet = distance_ft(case, places[a], places[b])
        minutes = rates["pull_minutes_base"] + rates["pull_minutes_per_ft"] * feet
        way = places[a] if places[a] == places[b] else f"{places[a]} to {places[b]}"
        yield Work("pull", minutes, model=link["cable"].removeprefix(BUY), place=way)


def _updates(case: JsonDict, plan: JsonDict) -> Iterator[Work]:
    models = {unit["unit"]: unit["model"] for unit in plan["units"]}
    steps: dict[str, list[JsonDict]] = {}
    for step in plan["updates"]:
        steps.setdefault(step["unit"], []).append(step)
    for unit, way in steps.items():
        known = case["catalogue"]["models"][models[unit]]["updates"]
        minutes = {(row["from"], row["to"]): row["minutes"] for row in known}
        stops = " → ".join([way[0]["from"], *(step["to"] for step in way)])
        total = sum(minutes[step["from"], step["to"]] for step in way)
        yield Work("update", total, unit, models[unit], detail=stops)


def distance_ft(case: JsonDict, start: str, end: str) -> int:
    """The shortest way over the boat's routes, in feet; ValueError where there is none."""
    found: dict[str, int] = {}
    waiting = [(0, start)]
    while waiting:
        feet, place = heapq.heappop(waiting)
        if place in found:
            continue
        found[place] = feet
        for route in case["boat"]["routes"]:
            if place in route["between"]:
                a, b = route["between"]
                heapq.heappush(waiting, (feet + route["feet"], b if place == a else a))
    if end not in found:
        raise ValueError(f"no way from {start} to {end}")
    return found[end]


def _why(case: JsonDict, plan: JsonDict, part: str) -> str:
    catalogue = case["catalogue"]
    touched = [unit for unit in plan["units"] if unit["fate"] in {"added", "replaced"}]
    if part in catalogue["models"]:
        return _named("at", [unit["location"] for unit in touched if unit["model"] == part])
    if part in catalogue["cables"]:
        return _named("link", _links_with(case, plan, part))
    word, units = _users(catalogue, plan, touched, part)
    return _named(word, [_label(case, unit) for unit in units])


def _users(
    catalogue: JsonDict, plan: JsonDict, touched: list[JsonDict], part: str
) -> tuple[str, list[JsonDict]]:
    models = catalogue["models"]
    if part in catalogue["leads"]:
        return "power for", [unit for unit in touched if models[unit["model"]]["lead"] == part]
    if part in catalogue["fuses"]:
        rating = catalogue["fuses"][part]["ma"]
        units = [unit for unit in touched if models[unit["model"]]["fuse_ma"] == rating]
        return "fuse called for by", units
    networked = [unit for unit in plan["units"] if unit["networked"]]
    units = [unit for unit in networked if models[unit["model"]]["adapter"] == part]
    return "at the network port of", units


def _links_with(case: JsonDict, plan: JsonDict, cable: str) -> list[str]:
    labels = {unit["unit"]: _label(case, unit) for unit in plan["units"]}
    links = [link for link in plan["links"] if link["cable"] == f"{BUY}{cable}"]
    return [" – ".join(labels[end] for end in link["between"]) for link in links]


def _label(case: JsonDict, unit: JsonDict) -> str:
    """A unit by its name aboard; a new one by its model and place, so that two are told apart."""
    label = unit_label(case, unit)
    return f"{label} at {unit['location']}" if unit["fate"] == "added" else label


def _named(word: str, names: list[str]) -> str:
    return f"{word} {', '.join(dict.fromkeys(names))}"[:200] if names else ""
