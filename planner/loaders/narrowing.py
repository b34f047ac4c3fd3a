"""Cutting a statement's rule down to the models of one case, without changing what it says.

No unit of a model outside the case can be on this boat, so a list of models loses those names
and nothing else. A rule that then speaks of nobody holds whatever is planned, and is left out.
"""

from collections.abc import Iterable, Mapping
from typing import Any

SELECTOR_KEYS = ("of", "when", "only", "same_release", "before", "then")
# The selectors that must name somebody for the rule to bind: verb -> keys.
MUST_NAME = {
    "at_most": ("of", "when"),
    "only": ("of", "when"),
    "at_least": ("when",),
    "same_release": ("same_release",),
    "before": ("before", "then"),
}
Rule = dict[str, Any]
Models = Mapping[str, Mapping[str, Any]]


def verb_of(rule: Rule) -> str:
    """Which of the five rules it is."""
    return next(verb for verb in MUST_NAME if verb in rule)


def selectors_of(rule: Rule) -> dict[str, dict[str, Any]]:
    """The selectors of a rule by their key."""
    return {key: rule[key] for key in SELECTOR_KEYS if isinstance(rule.get(key), dict)}


def names_model(selector: Mapping[str, Any], code: str, model: Mapping[str, Any]) -> bool:
    """Whether the selector speaks of units of this model, whatever their release."""
    if "kinds" in selector and model["kind"] not in selector["kinds"]:
        return False
    return "models" not in selector or code in selector["models"]


def narrow_rule(rule: Rule, models: Models) -> Rule | None:
    """The rule with only the models of the case; None where it speaks of none of them."""
    kept = dict(rule)
    for key, selector in selectors_of(rule).items():
        kept[key] = _narrow(selector, models)
    for key in MUST_NAME[verb_of(rule)]:
        if key in kept and not _names_any(kept[key], models):
            return None
    return kept


def _narrow(selector: dict[str, Any], models: Models) -> dict[str, Any]:
    kept = dict(selector)
    if "models" in kept:
        kept["models"] = [code for code in kept["models"] if code in models]
    if "min_release" in kept:
        kept["min_release"] = {
            code: name for code, name in kept["min_release"].items() if code in models
        }
    return kept


def _names_any(selector: Mapping[str, Any], models: Models) -> bool:
    return any(names_model(selector, code, model) for code, model in models.items())


def releases_named(rules: Iterable[Rule]) -> set[tuple[str, str]]:
    """Model and release of every `min_release`."""
    return {
        (code, name)
        for rule in rules
        for selector in selectors_of(rule).values()
        for code, name in selector.get("min_release", {}).items()
    }
