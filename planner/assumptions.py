"""Which unknowns a plan rests on, numbered, with what the rules themselves leave open.

Works on the case and the answer as they are kept, so that an old quote's list never changes.
"""

from collections.abc import Iterator
from datetime import date
from typing import Any

from planner.ageing import confidence_at, is_soft
from planner.loaders.narrowing import names_model, selectors_of
from planner.loaders.unknowns import unknown
from planner.plans import known_on, plan_columns, route_of, units_of

JsonDict = dict[str, Any]


def settle_assumptions(
    *, case: JsonDict, answer: JsonDict, unknowns: list[JsonDict]
) -> list[JsonDict]:
    """The assumptions behind an answer, numbered, each with the columns that rest on it.

    `options` holds places in `plan_columns(answer)`, from 0. Without any right plan, what could
    decide is listed, resting on none.
    """
    if not answer.get("feasible"):
        found = [entry | {"options": []} for entry in unknowns if entry["decides"]]
        return _numbered(found)
    entries: dict[str, JsonDict] = {}
    for place, column in enumerate(plan_columns(answer)):
        for entry in assumptions_of_plan(case=case, plan=column.plan, unknowns=unknowns):
            entries.setdefault(entry["key"], entry | {"options": []})["options"].append(place)
    return _numbered(sorted(entries.values(), key=_weight))


def _weight(entry: JsonDict) -> tuple[bool, bool]:
    return not entry["missing"], not entry["decides"]


def _numbered(entries: list[JsonDict]) -> list[JsonDict]:
    return [entry | {"number": number} for number, entry in enumerate(entries, 1)]


def assumptions_of_plan(
    *, case: JsonDict, plan: JsonDict, unknowns: list[JsonDict]
) -> list[JsonDict]:
    """What this one plan rests on."""
    found = [entry for entry in unknowns if rests_on(case, plan, entry)]
    found += _vapour(case, plan)
    found += _no_rule(case, plan)
    found += _weak_statements(case, plan)
    return list({entry["key"]: entry for entry in found}.values())


def rests_on(case: JsonDict, plan: JsonDict, entry: JsonDict) -> bool:
    """Whether the plan rests on an unknown of the records."""
    return _RESTS[entry["when"]](case, plan, entry)


def _on_unit(case: JsonDict, plan: JsonDict, entry: JsonDict) -> bool:
    """A unit that ends on the network, or that the plan touches."""
    before = {device["id"]: device for device in case["boat"]["devices"]}
    for unit in plan["units"]:
        if unit["unit"] in entry["units"]:
            was = before[unit["unit"]]
            return unit["networked"] or unit["fate"] != "stays" or was["networked"]
    return False


def _on_replaced(_case: JsonDict, plan: JsonDict, entry: JsonDict) -> bool:
    return any(u["fate"] == "replaced" and u["unit"] in entry["units"] for u in plan["units"])


def _on_route(case: JsonDict, plan: JsonDict, entry: JsonDict) -> bool:
    places = {unit["unit"]: unit["location"] for unit in plan["units"]}
    asked = {frozenset(pair) for pair in entry["routes"]}
    for link in plan["links"]:
        if link["cable"].startswith("buy:"):
            a, b = (places[name] for name in link["between"])
            if asked & set(route_of(case, a, b)):
                return True
    return False


def _on_placing(_case: JsonDict, plan: JsonDict, _entry: JsonDict) -> bool:
    return any(unit["fate"] == "added" for unit in plan["units"])


def _on_draw(case: JsonDict, plan: JsonDict, _entry: JsonDict) -> bool:
    models = case["catalogue"]["models"]
    before = sum(models[device["model"]]["draw_ma"] for device in case["boat"]["devices"])
    after = sum(models[unit["model"]]["draw_ma"] for unit in units_of(plan))
    return after > before


def _on_part(_case: JsonDict, plan: JsonDict, entry: JsonDict) -> bool:
    return any(part in plan["parts"] for part in entry["parts"])


def _on_model(_case: JsonDict, plan: JsonDict, entry: JsonDict) -> bool:
    fresh = {u["model"] for u in plan["units"] if u["fate"] in {"added", "replaced"}}
    return bool(fresh & set(entry["models"]))


_RESTS = {
    "unit": _on_unit,
    "replaced": _on_replaced,
    "route": _on_route,
    "always": lambda _case, _plan, _entry: True,
    "placing": _on_placing,
    "more_draw": _on_draw,
    "part": _on_part,
    "update": lambda _case, plan, _entry: bool(plan["updates"]),
    "model": _on_model,
}


def _vapour(case: JsonDict, plan: JsonDict) -> Iterator[JsonDict]:
    """New units where petrol vapour may gather, not noted as ignition-protected."""
    show = case.get("show", {})
    petrol = show.get("boat", {}).get("fuel", "").startswith("gasoline")
    for unit in plan["units"]:
        vapour = show.get("places", {}).get(unit["location"], {}).get("vapour")
        doubtful = vapour or (vapour is None and petrol)
        model = show.get("models", {}).get(unit["model"], {})
        if unit["fate"] != "added" or not doubtful or model.get("ignition_protected"):
            continue
        name = model.get("name", unit["model"])
        yield unknown(
            f"vapour:{unit['location']}:{unit['model']}",
            f"{name} may be put at {unit['location']}: petrol vapour "
            f"{'can gather there' if vapour else 'may gather there, nobody noted'}, and the model "
            "is not noted as ignition-protected.",
            "If it is not, it goes behind a bulkhead or to another place (33 CFR 183.410).",
            "Look at the place; read the unit's guide.",
            when="placing",
            decides=True,
            missing=True,
        )


def _no_rule(case: JsonDict, plan: JsonDict) -> Iterator[JsonDict]:
    """Models and switches of the plan's network of which no statement speaks together."""
    models = case["catalogue"]["models"]
    aboard = {unit["model"] for unit in plan["units"] if unit["networked"]}
    switches = sorted(code for code in aboard if models[code]["kind"] == "switch")
    others = sorted(aboard - set(switches))
    names = case.get("show", {}).get("models", {})
    for switch in switches:
        for code in others:
            if not any(speaks_of_both(s["rule"], code, switch, models) for s in statements(case)):
                yield _no_rule_entry(plan, code, switch, names)


def _no_rule_entry(plan: JsonDict, code: str, switch: str, names: JsonDict) -> JsonDict:
    words = names.get(code, {}).get("name", code)
    other = names.get(switch, {}).get("name", switch)
    return unknown(
        f"norule:{code}:{switch}",
        f"{words} works with {other}: no statement speaks of the two together.",
        "If they do not work together, the plan falls.",
        "Read both makers' guides, ask the maker, or try on the bench; then enter a statement.",
        when="always",
        decides=True,
        missing=True,
        units=[u["unit"] for u in plan["units"] if u["networked"] and u["model"] == code],
    )


def statements(case: JsonDict) -> list[JsonDict]:
    """The statements of the case."""
    return case["catalogue"]["statements"]


def speaks_of_both(rule: JsonDict, code: str, switch: str, models: JsonDict) -> bool:
    """Whether the rule names this model and this switch; "every unit" names nobody."""
    named = [s for s in selectors_of(rule).values() if "kinds" in s or "models" in s]
    return all(
        any(names_model(selector, name, models[name]) for selector in named)
        for name in (code, switch)
    )


def speaks_of_plan(rule: JsonDict, plan: JsonDict, models: JsonDict) -> list[str]:
    """The networked units of a plan that a rule binds; none where its condition is not met."""
    networked = [unit for unit in plan["units"] if unit["networked"]]
    selectors = selectors_of(rule)
    when = selectors.pop("when", None)
    if when is not None and not any(matches(when, unit, models) for unit in networked):
        return []
    if "only" in selectors:
        selectors = {"of": selectors["of"]}
    return [
        unit["unit"]
        for unit in networked
        if any(matches(selector, unit, models) for selector in selectors.values())
    ]


def matches(selector: JsonDict, unit: JsonDict, models: JsonDict) -> bool:
    """Whether a unit of a plan meets every key of the selector."""
    code = unit["model"]
    if not names_model(selector, code, models[code]):
        return False
    least = selector.get("min_release", {}).get(code)
    if least is None:
        return True
    releases = models[code]["releases"]
    return unit["release"] is not None and releases.index(unit["release"]) >= releases.index(least)


def confidence_of(statement: JsonDict, on: date) -> tuple[str, bool]:
    """The statement's confidence on a day, and whether it is old by then."""
    facts = {"rule": statement["rule"], "seen": date.fromisoformat(statement["seen"]), "today": on}
    said = statement.get("confidence", "low")
    return confidence_at(confidence=said, **facts), is_soft(**facts)


def _weak_statements(case: JsonDict, plan: JsonDict) -> Iterator[JsonDict]:
    models = case["catalogue"]["models"]
    stale = []
    for statement in statements(case):
        if not speaks_of_plan(statement["rule"], plan, models):
            continue
        confidence, old = confidence_of(statement, known_on(case))
        if confidence == "low":
            yield _low_entry(statement, old=old)
        elif old:
            stale.append(statement["id"])
    if stale:
        yield unknown(
            "statements:old",
            f"Statements that nobody checked for long still hold: {', '.join(stale)}.",
            "A newer guide may say otherwise.",
            "Read the maker's present guide and note the day on the statement.",
            when="always",
        )


def _low_entry(statement: JsonDict, *, old: bool) -> JsonDict:
    why = "low confidence, not checked for long" if old else "low confidence"
    return unknown(
        f"statement:{statement['id']}",
        f"“{statement['text']}” holds ({statement['id']}, {statement['source']}; {why}).",
        "If it does not, the verdict can change.",
        "Find it in the maker's guide, or try on the bench.",
        when="always",
        decides=True,
    )
