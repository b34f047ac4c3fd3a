"""Rules that cannot be right: against themselves, the catalogue, and each other; pure."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from planner.engine import CaseFault, check_rule
from planner.statements.selectors import (
    Catalogue,
    Selector,
    may_overlap,
    meets,
    normal,
    normal_rule,
    selectors_of,
    within,
)
from planner.statements.words import KIND_WORDS, verb_of

Rule = Mapping[str, Any]
MOST_UNITS = 1000


@dataclass(frozen=True)
class Fault:
    """What is wrong, at which key of the rule (`of`, `only`, … or `count`), with which model."""

    place: str
    message: str
    model: str = ""
    about_release: bool = False


@dataclass(frozen=True)
class Clash:
    """Another statement in force that this one disagrees with or repeats."""

    code: str
    message: str


def faults_of(rule: Rule, catalogue: Catalogue) -> list[Fault]:
    """Everything that is wrong with a rule by itself; empty where it can be right."""
    faults = [*_count_faults(rule)]
    for place, selector in selectors_of(rule):
        faults += _selector_faults(place, selector, catalogue)
    if not faults:
        faults += _pair_faults(rule, catalogue)
    return faults or _engine_faults(rule, catalogue)


def _count_faults(rule: Rule) -> list[Fault]:
    verb = verb_of(rule)
    if verb not in {"at_most", "at_least"}:
        return []
    count = rule[verb]
    if not isinstance(count, int) or isinstance(count, bool) or not 0 <= count <= MOST_UNITS:
        return [Fault("count", f"Write a whole number from 0 to {MOST_UNITS}.")]
    if verb == "at_least" and count == 0:
        return [Fault("count", "At least none always holds: this would say nothing.")]
    return []


def _selector_faults(place: str, selector: Selector, catalogue: Catalogue) -> list[Fault]:
    faults = []
    for code in selector.get("models", []):
        faults += _model_faults(place, selector, code, catalogue)
    for code, release in (selector.get("min_release") or {}).items():
        if "models" in selector and code not in selector["models"]:
            words = f"{code} has a least release here but is not among the models chosen."
            faults.append(Fault(place, words, code, about_release=True))
        elif "models" not in selector:
            faults += _model_faults(place, selector, code, catalogue)
        if code in catalogue and release not in catalogue[code].releases:
            faults.append(_release_fault(place, code, release, catalogue))
    return faults


def _model_faults(place: str, selector: Selector, code: str, catalogue: Catalogue) -> list[Fault]:
    model = catalogue.get(code)
    if model is None:
        return [Fault(place, f"The catalogue has no model {code}.", code)]
    kinds = selector.get("kinds")
    if kinds is not None and model.kind not in kinds:
        kind = KIND_WORDS[model.kind][0]
        return [Fault(place, f"{model.name} is a {kind}, which is not ticked here.", code)]
    return []


def _release_fault(place: str, code: str, release: str, catalogue: Catalogue) -> Fault:
    model = catalogue[code]
    had = f"It has {', '.join(model.releases)}." if model.releases else "It has no firmware."
    words = f"{model.name} never had {release}. {had}"
    return Fault(place, words, code, about_release=True)


def _pair_faults(rule: Rule, catalogue: Catalogue) -> list[Fault]:
    verb = verb_of(rule)
    if verb == "only" and not may_overlap(rule["only"], rule["of"], catalogue):
        words = "None of these can ever be one of those: to forbid them, write at most 0."
        return [Fault("only", words)]
    if verb == "before" and may_overlap(rule["before"], rule["then"], catalogue):
        both = [m.name for c, m in catalogue.items() if _in_both(rule, c, m)]
        what = both[0] if both else "A unit of both"
        return [Fault("then", f"{what} would have to be updated before itself.")]
    return []


def _in_both(rule: Rule, code: str, model: Any) -> bool:
    return meets(rule["before"], code, model) and meets(rule["then"], code, model)


def _engine_faults(rule: Rule, catalogue: Catalogue) -> list[Fault]:
    releases = {code: list(model.releases) for code, model in catalogue.items()}
    try:
        check_rule(dict(rule), models=releases)
    except CaseFault as fault:
        place = fault.path.removeprefix("$.").split(".")[0].split("[")[0]
        return [Fault(place, f"{fault.message[0].upper()}{fault.message[1:]}.")]
    return []


def clashes_of(rule: Rule, others: Iterable[tuple[str, Rule]], catalogue: Catalogue) -> list[Clash]:
    """Statements in force, as (number, rule), that repeat this rule or cannot hold with it."""
    found = []
    for code, other in others:
        if normal_rule(rule) == normal_rule(other):
            found.append(Clash(code, f"{code} says the same already."))
        elif _counts_clash(rule, other, catalogue) or _counts_clash(other, rule, catalogue):
            words = f"{code} asks for {_count_words(other)} of these: both cannot hold at once."
            found.append(Clash(code, words))
    return found


def _counts_clash(most: Rule, least: Rule, catalogue: Catalogue) -> bool:
    if "at_most" not in most or "at_least" not in least:
        return False
    if least["at_least"] <= most["at_most"] or not within(least["of"], most["of"], catalogue):
        return False
    whens = [rule["when"] for rule in (most, least) if "when" in rule]
    return len(whens) < 2 or normal(whens[0]) == normal(whens[1])


def _count_words(rule: Rule) -> str:
    verb = verb_of(rule)
    return f"{verb.replace('_', ' ')} {rule[verb]}"


def circle_of(
    rule: Rule, others: Iterable[tuple[str, Rule]], catalogue: Catalogue
) -> list[str] | None:
    """Model names in a circle of updates that the rule would close; None where it closes none."""
    if verb_of(rule) != "before":
        return None
    after: dict[str, set[str]] = {}
    for _, order in [("", rule), *others]:
        if verb_of(order) == "before":
            for code in _updated(order["before"], catalogue):
                after.setdefault(code, set()).update(_updated(order["then"], catalogue))
    for start in sorted(_updated(rule["before"], catalogue)):
        way = _way_back(start, after)
        if way:
            return [catalogue[code].name for code in way]
    return None


def _updated(selector: Selector, catalogue: Catalogue) -> set[str]:
    return {code for code, m in catalogue.items() if m.releases and meets(selector, code, m)}


def _way_back(start: str, after: dict[str, set[str]]) -> list[str] | None:
    ways = [[start]]
    seen = set()
    while ways:
        way = ways.pop(0)
        for code in sorted(after.get(way[-1], ())):
            if code == start:
                return [*way, start]
            if code not in seen:
                seen.add(code)
                ways.append([*way, code])
    return None
