"""Reading one statement's rule, and the checks that need all statements at once."""

from collections.abc import Mapping, Sequence
from typing import Any

from planner.engine.facts import KINDS, Model, Rule, Selector, Statement
from planner.engine.faults import CaseFault
from planner.engine.shapes import Spot, shown

VERBS = ("at_most", "only", "at_least", "same_release", "before")


def read_rule(spot: Spot, models: Mapping[str, Sequence[str]]) -> Rule:
    """Read a rule; `models` maps each known model to its releases, oldest first."""
    verbs = [verb for verb in VERBS if spot.has(verb)]
    if len(verbs) != 1:
        raise spot.fault("exactly one of " + ", ".join(VERBS) + " was expected")
    verb = verbs[0]
    if verb == "same_release":
        return Rule(verb, 0, read_selector(spot.get(verb), models), None, None)
    if verb == "before":
        first = read_selector(spot.get("before"), models)
        return Rule(verb, 0, first, read_selector(spot.get("then"), models), None)
    when = read_selector(spot.get("when"), models) if spot.has("when") else None
    if verb == "only":
        target = read_selector(spot.get("only"), models)
        return Rule(verb, 0, read_selector(spot.get("of"), models), target, when)
    count = spot.get(verb).amount()
    return Rule(verb, count, read_selector(spot.get("of"), models), None, when)


def read_selector(spot: Spot, models: Mapping[str, Sequence[str]]) -> Selector:
    """Read one selector."""
    kinds = names = None
    if spot.has("kinds"):
        kinds = frozenset(spot.get("kinds").names(KINDS, "kind"))
    if spot.has("models"):
        names = frozenset(spot.get("models").names(models, "model"))
    least: list[tuple[str, str]] = []
    if spot.has("min_release"):
        for model, release in spot.get("min_release").items():
            if model not in models:
                raise release.fault(f"no model has the name {shown(model)}")
            least.append((model, release.one_of(models[model], f"release of {model}")))
    return Selector(kinds, names, tuple(sorted(least)))


def check_rule(rule: dict[str, Any], *, models: Mapping[str, Sequence[str]]) -> None:
    """Check one rule as it is typed, against the known models and their releases.

    Stricter than reading a case: also refuses a rule that contradicts itself. Raises
    `CaseFault` with a path inside the rule (`$.of.min_release`).
    """
    spot = Spot(rule)
    read = read_rule(spot, models)
    for key in ("of", "when", "only", "same_release", "before", "then"):
        if spot.has(key):
            _check_selector(spot.get(key), models)
    if read.verb == "before" and read.target and _surely_meet(read.of, read.target):
        raise spot.get("before").fault("the same units would have to come before themselves")


def _check_selector(spot: Spot, models: Mapping[str, Sequence[str]]) -> None:
    for key in ("kinds", "models"):
        if spot.has(key) and not spot.get(key).list():
            raise spot.get(key).fault("an empty list matches no unit at all")
    if not spot.has("min_release"):
        return
    named = {m.value for m in spot.get("models").list()} if spot.has("models") else set(models)
    for model, release in spot.get("min_release").items():
        if model not in named:
            raise release.fault(f"{model} is not among the models of this selector")


def _surely_meet(first: Selector, second: Selector) -> bool:
    """Tell whether some unit certainly meets both, without knowing the kind of any model."""
    if first.models is None and second.models is None:
        return first.kinds is None or second.kinds is None or bool(first.kinds & second.kinds)
    if first.models is None or second.models is None:
        open_one = first if first.models is None else second
        return open_one.kinds is None
    if not first.models & second.models:
        return False
    return first.kinds is None or second.kinds is None or bool(first.kinds & second.kinds)


def check_no_circle(
    statements: Sequence[tuple[str, Statement]], models: Mapping[str, Model]
) -> None:
    """Refuse `before` rules that run in a circle; each statement comes with its path."""
    updated = [model for model in models.values() if model.updates]
    orders: list[tuple[int, int]] = []
    masks: dict[Selector, int] = {}
    for path, statement in statements:
        rule = statement.rule
        if rule.verb == "before" and rule.target is not None:
            first, then = (_mask(one, updated, masks) for one in (rule.of, rule.target))
            orders.append((first, then))
            if _reaches(orders, then, first):
                raise CaseFault(path, "this order of updates runs in a circle")


def _mask(selector: Selector, models: Sequence[Model], known: dict[Selector, int]) -> int:
    if selector not in known:
        known[selector] = sum(1 << n for n, model in enumerate(models) if selector.names(model))
    return known[selector]


def _reaches(orders: Sequence[tuple[int, int]], start: int, goal: int) -> bool:
    """Whether some model of `goal` comes after one of `start` (sets of models as bits)."""
    reached, waiting = start, list(orders)
    while not reached & goal:
        fresh = [order for order in waiting if order[0] & reached]
        if not fresh:
            return False
        waiting = [order for order in waiting if not order[0] & reached]
        for _, then in fresh:
            reached |= then
    return True
