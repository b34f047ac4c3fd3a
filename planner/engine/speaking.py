"""Of which models a rule speaks, and what part it plays for units that are asked about."""

from collections.abc import Sequence

from planner.engine.facts import Model, Rule, Selector

Stands = Sequence[tuple[Model, str | None]]


def selectors_of(rule: Rule) -> list[Selector]:
    """Every selector of a rule."""
    return [one for one in (rule.of, rule.target, rule.when) if one is not None]


def _naming(rule: Rule) -> list[Selector]:
    """The selectors that name somebody: "every unit" names nobody."""
    return [s for s in selectors_of(rule) if s.kinds is not None or s.models is not None]


def speaks_of_both(rule: Rule, one: Model, two: Model) -> bool:
    """Whether a rule names both models; an order of updates says nothing of what works."""
    if rule.verb == "before":
        return False
    named = _naming(rule)
    return all(any(s.names(model) for s in named) for model in (one, two))


def said_of(rule: Rule, models: Sequence[Model]) -> bool:
    """Whether a rule binds any of these models, its condition being one of them too."""
    if rule.when is not None and not any(rule.when.names(model) for model in models):
        return False
    bound = [rule.of] if rule.verb != "before" or rule.target is None else [rule.of, rule.target]
    return any(selector.names(model) for selector in bound for model in models)


def role_of(rule: Rule, stands: Stands, unresolved: bool) -> str:
    """The part that a rule plays: allows, limits, forbids or asks.

    `unresolved` says that nothing asked for could make the units work together.
    """
    if breaks(rule, stands):
        return "forbids" if unresolved else "asks"
    if rule.verb == "at_most":
        return "limits"
    if rule.verb != "only":
        return "asks"
    named = {name for s in selectors_of(rule) for name, _ in s.min_release}
    return "asks" if any(model.id in named for model, _ in stands) else "allows"


def breaks(rule: Rule, stands: Stands) -> bool:
    """Whether exactly these networked units break a rule; an unknown release meets nothing."""
    if rule.when is not None and not _count(rule.when, stands):
        return False
    if rule.verb == "at_most":
        return _count(rule.of, stands) > rule.count
    if rule.verb == "at_least":
        return _count(rule.of, stands) < rule.count
    matching = [(model, release) for model, release in stands if rule.of.matches(model, release)]
    if rule.verb == "only" and rule.target is not None:
        target = rule.target
        return any(not target.matches(model, release) for model, release in matching)
    if rule.verb == "same_release":
        return len({release for model, release in matching if model.releases}) > 1
    return False


def _count(selector: Selector, stands: Stands) -> int:
    return sum(1 for model, release in stands if selector.matches(model, release))
