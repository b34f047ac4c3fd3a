"""Why each unit and each link of a plan is so: what forces it, or what else would cost."""

from dataclasses import dataclass, field
from typing import Any

from django.core.cache import cache
from django.http import Http404

from planner import engine
from planner.pages import Clash, clash_of
from planner.pins import pins_words
from planner.plans import unit_label
from planner.reasons.chosen import TIME_RAN_OUT, Chosen, in_page
from planner.reasons.wording import shop_words

JsonDict = dict[str, Any]
KEPT_SECONDS = 24 * 3600
FACTS = {
    "fate": "What becomes of it",
    "networked": "On or off the network",
    "release": "Its release",
}


@dataclass(frozen=True)
class Cause:
    """One reason: a statement or wish that forces it, or the words of what else would cost."""

    what: str
    text: str
    forced_by: list[Clash] = field(default_factory=list)
    proven: bool = True


@dataclass(frozen=True)
class Line:
    """One unit or link of a plan with its reasons; `key` is its place in the address."""

    key: str
    title: str
    now: str
    main: Cause
    more: list[Cause]
    pins: list[str]


def why_lines(chosen: Chosen) -> list[Line]:
    """Every unit and link of the plan with its reasons; a page's time at most."""
    told = _explained(chosen)
    units = [
        _unit_line(chosen, place, unit, found)
        for place, (unit, found) in enumerate(zip(chosen.plan["units"], told["units"], strict=True))
    ]
    links = [
        _link_line(chosen, place, link, found)
        for place, (link, found) in enumerate(zip(chosen.plan["links"], told["links"], strict=True))
    ]
    return units + links


def why_line(chosen: Chosen, key: str) -> Line:
    """The line of that key; 404 where the plan has none."""
    for line in why_lines(chosen):
        if line.key == key:
            return line
    raise Http404("This plan has no such line.")


def _explained(chosen: Chosen) -> JsonDict:
    """What the engine says; kept for a day once it is proven, as the case never changes."""
    key = f"why:{engine.ENGINE_VERSION}:{chosen.run.pk}:{chosen.number}"
    told = cache.get(key)
    if told is None:
        told = engine.explain_plan(chosen.case, chosen.plan, should_stop=in_page())
        if all(unit.get("proven", True) for unit in told["units"]):
            cache.set(key, told, KEPT_SECONDS)
    return told


def _unit_line(chosen: Chosen, place: int, unit: JsonDict, told: JsonDict) -> Line:
    facts = [_cause(chosen, FACTS[one["fact"]], one) for one in told.get("facts", [])]
    main = _cause(chosen, "", told)
    others = [fact for fact in facts if (fact.text, fact.forced_by) != (main.text, main.forced_by)]
    return Line(
        key=f"u{place}",
        title=unit_label(chosen.case, unit),
        now=becomes_words(unit),
        main=main,
        more=others,
        pins=_pinned(chosen, unit["unit"]),
    )


def _link_line(chosen: Chosen, place: int, link: JsonDict, told: JsonDict) -> Line:
    labels = {unit["unit"]: unit_label(chosen.case, unit) for unit in chosen.plan["units"]}
    one, other = (labels[name] for name in link["between"])
    cause = _cause(chosen, "", told)
    return Line(f"l{place}", f"{one} to {other}", "joined by one cable", cause, [], [])


def _cause(chosen: Chosen, what: str, told: JsonDict) -> Cause:
    proven = told.get("proven", True)
    forced = [clash_of(chosen.case, name) for name in told.get("forced_by", [])]
    if forced:
        return Cause(what, "", forced)
    if not proven:
        return Cause(what, TIME_RAN_OUT, proven=False)
    words = shop_words(chosen.case, chosen.plan, told["text"], chosen.run.shop.currency)
    return Cause(what, _next_best(words))


def _next_best(words: str) -> str:
    """ "Otherwise $5 more: taken out." as a whole sentence."""
    head, colon, rest = words.partition(": ")
    if not (head.startswith("Otherwise ") and colon):
        return words
    price = head.removeprefix("Otherwise ")
    if price == "at the same cost":
        return f"The next best costs the same: {rest}"
    return f"The next best costs {price}: {rest}"


def _pinned(chosen: Chosen, name: str) -> list[str]:
    """What a what-if holds this unit to; the reasons weigh against plans without it."""
    pins = [pin for pin in chosen.run.wishes.get("pins", []) if pin.get("unit") == name]
    return pins_words(chosen.case, pins)


def becomes_words(unit: JsonDict) -> str:
    """What becomes of a unit, in a few words."""
    fates = {
        "stays": "stays",
        "added": "new",
        "replaced": "new in its place",
        "removed": "comes out",
        "disconnected": "disconnected, left in place",
    }
    words = fates[unit["fate"]]
    if unit["fate"] in {"removed", "disconnected"}:
        return words
    release = f", release {unit['release']}" if unit["release"] else ""
    return f"{words}, {'on' if unit['networked'] else 'off'} the network{release}"
