"""What selectors match, told from the catalogue's facts; pure."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

Selector = Mapping[str, Any]
SLOTS = ("of", "only", "when", "same_release", "before", "then")


@dataclass(frozen=True)
class ModelFacts:
    """What a rule needs to know of a model; releases oldest first."""

    name: str
    kind: str
    releases: tuple[str, ...]


Catalogue = Mapping[str, ModelFacts]


def selectors_of(rule: Mapping[str, Any]) -> Iterator[tuple[str, Selector]]:
    """Each selector of a rule with the key that it stands under."""
    for slot in SLOTS:
        if isinstance(rule.get(slot), Mapping):
            yield slot, rule[slot]


def normal(selector: Selector) -> tuple:
    """The same for selectors that say the same."""
    return (
        tuple(sorted(selector["kinds"])) if "kinds" in selector else None,
        tuple(sorted(selector["models"])) if "models" in selector else None,
        tuple(sorted((selector.get("min_release") or {}).items())),
    )


def normal_rule(rule: Mapping[str, Any]) -> tuple:
    """The same for rules that say the same."""
    keys = sorted(rule)
    facts = [(k, normal(rule[k]) if isinstance(rule[k], Mapping) else rule[k]) for k in keys]
    return tuple(facts)


def meets(selector: Selector, code: str, model: ModelFacts) -> bool:
    """Whether units of a model meet the selector's kinds and models, releases apart."""
    kinds, models = selector.get("kinds"), selector.get("models")
    return (kinds is None or model.kind in kinds) and (models is None or code in models)


def may_overlap(first: Selector, second: Selector, catalogue: Catalogue) -> bool:
    """Whether a model, of the catalogue or one still to come, can meet both selectors."""
    named = first.get("models") or second.get("models")
    if named:
        known = {code: catalogue[code] for code in named if code in catalogue}
        return any(meets(first, c, m) and meets(second, c, m) for c, m in known.items())
    kinds, others = first.get("kinds"), second.get("kinds")
    return kinds is None or others is None or bool(set(kinds) & set(others))


def within(inner: Selector, outer: Selector, catalogue: Catalogue) -> bool:
    """Whether every unit that meets `inner` surely meets `outer`."""
    if normal(inner) == normal(outer):
        return True
    if outer.get("min_release"):
        return False
    if "models" in inner:
        known = {code: catalogue[code] for code in inner["models"] if code in catalogue}
        return all(meets(outer, code, model) for code, model in known.items())
    kinds = outer.get("kinds")
    return "models" not in outer and (
        kinds is None or set(inner.get("kinds", [None])) <= set(kinds)
    )
