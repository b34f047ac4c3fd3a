"""How an unknown could turn out badly, as changes of the case that the planner can try. Pure.

What is tried for each kind of unknown is common practice, no source: a rough length may be a
quarter more, a release may be the oldest or the newest, a feed may carry no more than today.
"""

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from planner.plans import model_name

JsonDict = dict[str, Any]
LONGER_PERCENT = 25


@dataclass(frozen=True)
class Turn:
    """One bad turn of an unknown: what is tried, in words, and the value at each JSON path."""

    id: str
    unknown: JsonDict
    tried: str
    change: JsonDict = field(default_factory=dict)


def turns_of(case: JsonDict, unknowns: list[JsonDict]) -> list[Turn]:
    """Every bad turn that can be tried, in the order of the unknowns."""
    return [turn for entry in unknowns for turn in _turns(case, entry)]


def _turns(case: JsonDict, entry: JsonDict) -> Iterator[Turn]:
    kind, _, rest = entry["key"].partition(":")
    tell = _TURNS.get(kind)
    if tell is None:
        return
    for number, (tried, change) in enumerate(tell(case, entry, rest), 1):
        yield Turn(f"{entry['key']}#{number}", entry, tried, change)


Tried = Iterator[tuple[str, JsonDict]]


def _quoted(name: str) -> str:
    return re.sub(r"([\\'])", r"\\\1", name)


def _devices(case: JsonDict, entry: JsonDict) -> Iterator[tuple[str, JsonDict]]:
    for place, device in enumerate(case["boat"]["devices"]):
        if device["id"] in entry.get("units", ()):
            yield f"$.boat.devices[{place}]", device


def _release(case: JsonDict, entry: JsonDict, _rest: str) -> Tried:
    """The oldest and the newest, where the case takes neither."""
    for path, device in _devices(case, entry):
        releases = case["catalogue"]["models"][device["model"]]["releases"]
        ends = dict.fromkeys([*releases[:1], *releases[-1:]])
        for name in ends:
            if name != device["release"]:
                yield f"{device['id']} is on release {name}", {f"{path}.release": name}


def _networked(case: JsonDict, entry: JsonDict, _rest: str) -> Tried:
    for path, device in _devices(case, entry):
        other = not device["networked"]
        words = f"{device['id']} is {'on' if other else 'off'} the network"
        yield words, {f"{path}.networked": other}


def _adapters(case: JsonDict, entry: JsonDict, _rest: str) -> Tried:
    for path, device in _devices(case, entry):
        if not device["adapters"]:
            words = f"{device['id']} has an adapter lead on it"
            yield words, {f"{path}.adapters": 1}


def _weak(case: JsonDict, entry: JsonDict, rest: str) -> Tried:
    """Only what the planner reads: another release, where one is noted."""
    yield from _release(case, entry, rest)


def _route(case: JsonDict, entry: JsonDict, _rest: str) -> Tried:
    asked = {frozenset(pair) for pair in entry.get("routes", ())}
    for place, route in enumerate(case["boat"]["routes"]):
        if frozenset(route["between"]) in asked:
            feet = math.ceil(route["feet"] * (100 + LONGER_PERCENT) / 100)
            one, other = route["between"]
            words = f"The way from {one} to {other} is {feet} ft, a quarter more than noted"
            yield words, {f"$.boat.routes[{place}].feet": feet}


def _dc_limit(case: JsonDict, _entry: JsonDict, _rest: str) -> Tried:
    models = case["catalogue"]["models"]
    now = sum(models[device["model"]]["draw_ma"] for device in case["boat"]["devices"])
    words = f"The feed carries no more than today's {now / 1000:g} A"
    yield words, {"$.boat.dc_limit_ma": now}


def _ships(case: JsonDict, _entry: JsonDict, rest: str) -> Tried:
    model = case["catalogue"]["models"].get(rest)
    if model and model["releases"] and model["releases"][-1] != model["ships_with"]:
        last = model["releases"][-1]
        words = f"A new {model_name(case, rest)} comes with {last}"
        yield words, {f"$.catalogue.models['{_quoted(rest)}'].ships_with": last}


def _statement(case: JsonDict, _entry: JsonDict, rest: str) -> Tried:
    kept = [one for one in case["catalogue"]["statements"] if one["id"] != rest]
    if len(kept) < len(case["catalogue"]["statements"]):
        yield f"Statement {rest} does not hold", {"$.catalogue.statements": kept}


def _no_rule(case: JsonDict, _entry: JsonDict, rest: str) -> Tried:
    code, _, switch = rest.partition(":")
    rule = {"at_most": 0, "of": {"models": [code]}, "when": {"models": [switch]}}
    words = f"{model_name(case, code)} does not work with {model_name(case, switch)}"
    told = {"id": f"tried:{code}:{switch}", "text": words, "source": "tried", "seen": "2000-01-01"}
    statements = [*case["catalogue"]["statements"], told | {"rule": rule}]
    yield words, {"$.catalogue.statements": statements}


_TURNS = {
    "release": _release,
    "networked": _networked,
    "adapters": _adapters,
    "weak": _weak,
    "route": _route,
    "dc_limit": _dc_limit,
    "ships": _ships,
    "statement": _statement,
    "norule": _no_rule,
}
