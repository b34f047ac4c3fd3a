"""Whether the units aboard meet a rule as they are now; what is not known is never fine. Pure.

The engine proves plans of a finished boat; this tells of boats in service, many at a time: a rule
holds, is broken, or cannot be told because a release, or whether a unit is on the network, is not
known. Broken means broken whatever the unknown turns out to be.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from planner.statements.selectors import Catalogue, Selector, meets

HOLDS, BROKEN, NOT_KNOWN = "holds", "broken", "not_known"
Rule = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Aboard:
    """A unit aboard: its model's code, its release (None: none or not known), on the network."""

    model: str
    release: str | None
    networked: bool | None = True


def matches(selector: Selector, unit: Aboard, catalogue: Catalogue) -> bool | None:
    """Whether a unit meets a selector; None where its release decides and nobody knows it."""
    facts = catalogue.get(unit.model)
    if facts is None or not meets(selector, unit.model, facts):
        return False
    least = (selector.get("min_release") or {}).get(unit.model)
    if least is None:
        return True
    if unit.release is None or unit.release not in facts.releases or least not in facts.releases:
        return None
    return facts.releases.index(unit.release) >= facts.releases.index(least)


def on_network(selector: Selector, unit: Aboard, catalogue: Catalogue) -> bool | None:
    """Whether a unit meets a selector and is on the network; None where that is not known."""
    if unit.networked is False:
        return False
    met = matches(selector, unit, catalogue)
    return None if met and unit.networked is None else met


def judge(rule: Rule, units: Iterable[Aboard], catalogue: Catalogue) -> str:
    """`holds`, `broken` or `not_known` for the units of one boat."""
    units = list(units)
    if "when" in rule:
        asked = [on_network(rule["when"], unit, catalogue) for unit in units]
        if not any(met is not False for met in asked):
            return HOLDS
        found = _judge(rule, units, catalogue)
        return found if True in asked or found == HOLDS else NOT_KNOWN
    return _judge(rule, units, catalogue)


def _judge(rule: Rule, units: list[Aboard], catalogue: Catalogue) -> str:
    if "only" in rule:
        return _only(rule, units, catalogue)
    if "same_release" in rule:
        return _same_release(rule["same_release"], units, catalogue)
    if "at_most" in rule or "at_least" in rule:
        return _count(rule, units, catalogue)
    return HOLDS  # an order of updates never breaks


def _count(rule: Rule, units: list[Aboard], catalogue: Catalogue) -> str:
    met = [on_network(rule["of"], unit, catalogue) for unit in units]
    low, high = met.count(True), len(met) - met.count(False)
    if "at_most" in rule:
        least, most = low <= rule["at_most"], high <= rule["at_most"]
    else:
        least, most = high >= rule["at_least"], low >= rule["at_least"]
    return HOLDS if most else NOT_KNOWN if least else BROKEN


def _only(rule: Rule, units: list[Aboard], catalogue: Catalogue) -> str:
    worst = HOLDS
    for unit in units:
        of = on_network(rule["of"], unit, catalogue)
        allowed = matches(rule["only"], unit, catalogue)
        if of and allowed is False:
            return BROKEN
        if of is not False and not allowed:
            worst = NOT_KNOWN
    return worst


def _same_release(selector: Selector, units: list[Aboard], catalogue: Catalogue) -> str:
    sure, doubtful = set(), 0
    for unit in units:
        met = on_network(selector, unit, catalogue)
        if met is False or not catalogue[unit.model].releases:
            continue
        if met and unit.release is not None:
            sure.add(unit.release)
        else:
            doubtful += 1
    if len(sure) > 1:
        return BROKEN
    return NOT_KNOWN if doubtful and (sure or doubtful > 1) else HOLDS


def models_touched(rule: Rule, catalogue: Catalogue) -> set[str] | None:
    """Models whose boats a rule can say something of; None for every boat.

    Where there is a `when`, only boats that carry one of it; else boats that carry one of the
    units that the rule counts. A rule that asks for at least some touches boats without any.
    """
    if "when" in rule:
        return _codes(rule["when"], catalogue)
    if "at_least" in rule:
        return None
    selector = rule.get("of") if "of" in rule else rule.get("same_release")
    return _codes(selector, catalogue) if selector is not None else set()


def _codes(selector: Selector, catalogue: Catalogue) -> set[str]:
    return {code for code, facts in catalogue.items() if meets(selector, code, facts)}
