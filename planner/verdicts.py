"""The verdict of a plan: one word of a fixed list, worst of its parts, each with its reasons.

The list, best first: works, works after update, works with part, works reduced, only if isolated,
not known, does not work. "Not known" is never shown as fine.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from planner.assumptions import confidence_of, speaks_of_plan
from planner.breaches import against_staying
from planner.loaders.narrowing import names_model, selectors_of
from planner.plans import device_of, known_on, model_name
from planner.telling import bought_words, given_up, update_words

JsonDict = dict[str, Any]
WORKS = "Works"
AFTER_UPDATE = "Works after update"
WITH_PART = "Works with part"
REDUCED = "Works reduced"
ISOLATED = "Only if isolated"
NOT_KNOWN = "Not known"
DOES_NOT = "Does not work"
TONES = {
    WORKS: "good",
    AFTER_UPDATE: "look",
    WITH_PART: "look",
    REDUCED: "look",
    ISOLATED: "look",
    NOT_KNOWN: "unknown",
    DOES_NOT: "stop",
}
ORDER = list(TONES)


@dataclass(frozen=True)
class Reason:
    """A statement as a reason: its words, who says so, since when, how sure, of which units."""

    code: str
    text: str
    source: str
    seen: date
    confidence: str
    old: bool
    entered_by: str
    units: list[str]


@dataclass(frozen=True)
class Part:
    """One part of a verdict: what to do, then why."""

    word: str
    what: str
    confirm: str = ""
    reasons: list[Reason] = field(default_factory=list)

    @property
    def tone(self) -> str:
        """The badge's tone."""
        return TONES[self.word]


@dataclass(frozen=True)
class Verdict:
    """The worst word, the other needs, and the parts, worst first."""

    word: str
    needs: list[tuple[str, str]]
    parts: list[Part]

    @property
    def tone(self) -> str:
        """The badge's tone."""
        return TONES[self.word]


def verdict_of(*, case: JsonDict, plan: JsonDict, assumptions: list[JsonDict]) -> Verdict:
    """Judge one plan; `assumptions` are those that it rests on."""
    parts = [
        *_not_known(assumptions),
        *_given_up(case, plan),
        *_with_part(case, plan),
        *_after_update(case, plan),
        *_works(case, plan),
    ]
    parts.sort(key=lambda part: -ORDER.index(part.word))
    words = list(dict.fromkeys(part.word for part in parts)) or [WORKS]
    needs = [(TONES[word], word) for word in words[1:] if word != WORKS]
    return Verdict(words[0], needs, parts)


def _not_known(assumptions: list[JsonDict]) -> Iterator[Part]:
    for entry in assumptions:
        if entry["missing"]:
            yield Part(NOT_KNOWN, f"A{entry['number']}. {entry['text']}", entry["confirm_by"])


def _given_up(case: JsonDict, plan: JsonDict) -> Iterator[Part]:
    for name, words in given_up(case, plan):
        was = device_of(case, name)
        against = against_staying(case, plan, was) if was and was["networked"] else []
        reasons = [reason_of(case, None, statement) for statement in against]
        why = _why_given_up(reasons)
        if words.endswith("comes out"):
            yield Part(REDUCED, f"{words}: what it did is no longer aboard. {why}", reasons=reasons)
        else:
            yield Part(ISOLATED, f"{words} and works for itself. {why}", reasons=reasons)


def _why_given_up(reasons: list[Reason]) -> str:
    if reasons:
        return "As it is, it would break what is said below; putting that right costs more."
    return "No statement alone stands against it: ports, cables, current or cost decide."


def _with_part(case: JsonDict, plan: JsonDict) -> Iterator[Part]:
    bought = bought_words(case, plan)
    if bought:
        yield Part(WITH_PART, f"Needs: {', '.join(bought)}.")


def _after_update(case: JsonDict, plan: JsonDict) -> Iterator[Part]:
    models = {unit["unit"]: unit["model"] for unit in plan["units"]}
    names = dict.fromkeys(step["unit"] for step in plan["updates"])
    for name, words in zip(names, update_words(case, plan), strict=True):
        reasons = _asking_release(case, plan, models[name])
        yield Part(AFTER_UPDATE, f"Update {words}.", reasons=reasons)


def _works(case: JsonDict, plan: JsonDict) -> Iterator[Part]:
    models = case["catalogue"]["models"]
    reasons = [
        reason_of(case, plan, statement)
        for statement in case["catalogue"]["statements"]
        if speaks_of_plan(statement["rule"], plan, models)
    ]
    if reasons:
        yield Part(WORKS, "The finished network meets every statement below.", reasons=reasons)
    elif not any(unit["networked"] for unit in plan["units"]):
        yield Part(WORKS, "Nothing is on the network, so no statement binds it.")


def _asking_release(case: JsonDict, plan: JsonDict, code: str) -> list[Reason]:
    found = []
    for statement in case["catalogue"]["statements"]:
        selectors = selectors_of(statement["rule"])
        asks = any(code in s.get("min_release", {}) for s in selectors.values())
        same = selectors.get("same_release")
        model = case["catalogue"]["models"][code]
        if asks or (same is not None and names_model(same, code, model)):
            found.append(reason_of(case, plan, statement))
    return found


def reason_of(case: JsonDict, plan: JsonDict | None, statement: JsonDict) -> Reason:
    """A statement as a reason; its units are those of the plan that it binds."""
    models = case["catalogue"]["models"]
    units = speaks_of_plan(statement["rule"], plan, models) if plan else []
    _, old = confidence_of(statement, known_on(case))
    page = f", page {statement['page']}" if statement.get("page") else ""
    kind = statement.get("source_kind", "")
    return Reason(
        code=statement["id"],
        text=statement["text"],
        source=f"{statement['source']}{page}" + (f" ({kind})" if kind else ""),
        seen=date.fromisoformat(statement["seen"]),
        confidence=statement.get("confidence", "low"),
        old=old,
        entered_by=statement.get("entered_by", ""),
        units=units or _models_named(case, statement),
    )


def _models_named(case: JsonDict, statement: JsonDict) -> list[str]:
    selectors = selectors_of(statement["rule"]).values()
    codes = {code for selector in selectors for code in selector.get("models", [])}
    return [model_name(case, code) for code in sorted(codes)]
