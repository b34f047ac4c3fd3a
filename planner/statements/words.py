"""A rule in plain words; pure text, no markup."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

Names = Mapping[str, str]
MOST_ASKED = 6
VERBS = {
    "at_most": "At most",
    "only": "Only",
    "at_least": "At least",
    "same_release": "Same release",
    "before": "Before",
}
KIND_WORDS = {
    "display": ("display", "displays"),
    "switch": ("switch", "switches"),
    "sounder": ("sounder", "sounders"),
    "radar": ("radar", "radars"),
    "motor": ("trolling motor", "trolling motors"),
    "camera": ("camera", "cameras"),
    "gateway": ("gateway", "gateways"),
    "other": ("other unit", "other units"),
}
SLOT_LABELS = {
    "at_most": {"of": "Counted", "when": "Holds when the network has"},
    "at_least": {"of": "Counted", "when": "Holds when the network has"},
    "only": {"of": "Of these", "only": "Only these may be", "when": "Holds when the network has"},
    "same_release": {"same_release": "All at one release"},
    "before": {"before": "Updated first", "then": "Updated after"},
}


def verb_of(rule: Mapping[str, Any]) -> str:
    """The kind of rule: one of `VERBS`, "" for a rule of no known kind."""
    return next((verb for verb in VERBS if verb in rule), "")


def either(words: Iterable[str]) -> str:
    """`a`, `a or b`, `a, b or c`."""
    found = list(words)
    if len(found) < 2:
        return "".join(found)
    return f"{', '.join(found[:-1])} or {found[-1]}"


def tell_selector(selector: Mapping[str, Any], names: Names, *, one: bool = False) -> str:
    """The units that a selector matches; `one` in the singular."""
    kinds = [KIND_WORDS.get(k, (k, k))[0 if one else 1] for k in selector.get("kinds", [])]
    least = dict(selector.get("min_release") or {})
    base = either(kinds) or ("unit" if one else "units")
    if selector.get("models"):
        models = [_at_least(code, least.pop(code, ""), names) for code in selector["models"]]
        base = f"{base} of model {either(models)}"
    if least:
        rest = [_at_least(code, release, names) for code, release in least.items()]
        base = f"{base} ({'; '.join(rest)})"
    return base


def _at_least(code: str, release: str, names: Names) -> str:
    name = names.get(code, code)
    return f"{name} at {release} or later" if release else name


def tell_rule(rule: Mapping[str, Any], names: Names) -> str:
    """The rule as a sentence; `names` maps a model's code to its name.

    >>> tell_rule({"at_most": 4, "of": {"kinds": ["display"]}}, {})
    'At most 4 displays may be on the network.'
    """
    tell = _TELLERS.get(verb_of(rule))
    if tell is None:
        return "A rule of no known kind."
    sentence = tell(rule, names)
    if "when" in rule:
        when = tell_selector(rule["when"], names, one=True)
        sentence = f"Where the network has any {when}: {sentence[0].lower()}{sentence[1:]}"
    return sentence


def _tell_at_most(rule: Mapping[str, Any], names: Names) -> str:
    count = rule["at_most"]
    units = tell_selector(rule["of"], names, one=count == 1)
    if count == 0:
        return f"No {tell_selector(rule['of'], names, one=True)} may be on the network."
    return f"At most {count} {units} may be on the network."


def _tell_at_least(rule: Mapping[str, Any], names: Names) -> str:
    count = rule["at_least"]
    units = tell_selector(rule["of"], names, one=count == 1)
    return f"At least {count} {units} must be on the network."


def _tell_only(rule: Mapping[str, Any], names: Names) -> str:
    allowed = tell_selector(rule["only"], names)
    if not rule["of"]:
        return f"Only {allowed} may be on the network."
    return f"Of the {tell_selector(rule['of'], names)}, only {allowed} may be on the network."


def _tell_same(rule: Mapping[str, Any], names: Names) -> str:
    units = tell_selector(rule["same_release"], names)
    return f"All {units} on the network stand at the same firmware release."


def _tell_before(rule: Mapping[str, Any], names: Names) -> str:
    first = tell_selector(rule["before"], names)
    after = tell_selector(rule["then"], names)
    return f"{first[0].upper()}{first[1:]} are updated before {after}."


_TELLERS = {
    "at_most": _tell_at_most,
    "at_least": _tell_at_least,
    "only": _tell_only,
    "same_release": _tell_same,
    "before": _tell_before,
}


@dataclass(frozen=True)
class Part:
    """One selector of a rule, spelled out: its label, kinds, models, least releases."""

    label: str
    kinds: tuple[str, ...]
    models: tuple[tuple[str, str], ...]
    least: tuple[tuple[str, str], ...]


def rule_parts(rule: Mapping[str, Any], names: Names) -> list[Part]:
    """The rule's selectors as fields; models as (code, name), least as (name, release)."""
    labels = SLOT_LABELS.get(verb_of(rule), {})
    return [_part(label, rule[key], names) for key, label in labels.items() if key in rule]


def models_query(rule: Mapping[str, Any], names: Names) -> str:
    """The first models that a rule names, as the end of an address that asks for a verdict."""
    codes = [code for part in rule_parts(rule, names) for code, _ in part.models if code in names]
    found = list(dict.fromkeys(codes))[:MOST_ASKED]
    return urlencode([("unit", code) for code in found]) if len(found) > 1 else ""


def _part(label: str, selector: Mapping[str, Any], names: Names) -> Part:
    least = selector.get("min_release") or {}
    return Part(
        label,
        tuple(KIND_WORDS.get(kind, (kind, kind))[1] for kind in selector.get("kinds", [])),
        tuple((code, names.get(code, code)) for code in selector.get("models", [])),
        tuple((names.get(code, code), release) for code, release in least.items()),
    )
