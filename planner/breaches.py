"""Which statements a set of networked units would break. Pure, on the case as it is kept.

The engine proves plans; this only tells why a unit that was left off could not stay on.
"""

from collections.abc import Callable
from typing import Any

from planner.assumptions import matches

JsonDict = dict[str, Any]
Units = list[JsonDict]
Matching = Callable[[JsonDict], Units]


def breaches(case: JsonDict, units: Units) -> list[JsonDict]:
    """The statements that these units, all on one network, do not meet."""
    return [s for s in case["catalogue"]["statements"] if not holds(case, s["rule"], units)]


def holds(case: JsonDict, rule: JsonDict, units: Units) -> bool:
    """Whether a rule holds for these units; an order of updates never breaks."""
    models = case["catalogue"]["models"]

    def matching(selector: JsonDict) -> Units:
        return [unit for unit in units if matches(selector, unit, models)]

    if "when" in rule and not matching(rule["when"]):
        return True
    if "only" in rule:
        accepted = matching(rule["only"])
        return all(unit in accepted for unit in matching(rule["of"]))
    if "same_release" in rule:
        return _one_release(matching(rule["same_release"]))
    return _counts(rule, matching)


def _one_release(units: Units) -> bool:
    return len({unit["release"] for unit in units if unit["release"] is not None}) <= 1


def _counts(rule: JsonDict, matching: Matching) -> bool:
    if "at_most" in rule:
        return len(matching(rule["of"])) <= rule["at_most"]
    if "at_least" in rule:
        return len(matching(rule["of"])) >= rule["at_least"]
    return True


def against_staying(case: JsonDict, plan: JsonDict, device: JsonDict) -> list[JsonDict]:
    """The statements that would be broken if this unit stayed on the plan's network as it was."""
    units = [u for u in plan["units"] if u["networked"] and u["unit"] != device["id"]]
    before = breaches(case, units)
    as_it_was = {
        "unit": device["id"],
        "model": device["model"],
        "location": device["location"],
        "release": device["release"],
        "networked": True,
    }
    return [s for s in breaches(case, [*units, as_it_was]) if s not in before]
