"""The checks of a plan, with what is bought for them, as plain values to show and to keep."""

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from planner.checks.facts import PlanFacts
from planner.checks.pricing import price_needs, price_remedy
from planner.checks.records import CheckRecords, read_check_records
from planner.engine.checks import (
    STATE_WORDS,
    STATES,
    CheckFacts,
    Finding,
    SparePorts,
    kit_of,
    measures_of,
    run_checks,
    smallest,
    take_all,
    worst_of,
)
from planner.plans import unit_label
from shopapp.boats.models import Boat
from shopapp.catalog.models import Kind

JsonDict = dict[str, Any]
UNIT_WORDS = {
    "a": "A", "ma": "mA", "v": "V", "ft": "ft", "cm": "cm", "mm": "mm", "c": "°C", "ah": "Ah",
    "percent": "%", "inches": "in",
}  # fmt: skip


def check_plans(
    *, boat: Boat, case: JsonDict, plans: Sequence[JsonDict], taken: Sequence[Sequence[str]] = ()
) -> list[JsonDict]:
    """Check several plans of one case; the records are read once, in thirteen queries at most.

    `taken` holds for each plan the keys of remedies that are taken as done.
    """
    records = read_check_records(boat=boat, plans=plans)
    keys = list(taken) or [()] * len(plans)
    return [
        check_plan(records=records, case=case, plan=plan, taken=taken_here)
        for plan, taken_here in zip(plans, keys, strict=True)
    ]


def check_plan(
    *, records: CheckRecords, case: JsonDict, plan: JsonDict, taken: Iterable[str] = ()
) -> JsonDict:
    """The findings of one plan, worst first, its small parts, and what is to be measured."""
    facts = PlanFacts(records, case, plan).collect()
    kit = price_needs(_kit(facts, case, plan), records.parts)
    facts, done = take_all(facts, list(taken))
    findings = run_checks(facts)
    rate = case["catalogue"]["rates"]["labour_cents_per_minute"]
    cures = smallest(findings)
    return {
        "findings": [_shown(finding, records, rate) for finding in findings],
        "counts": _counts(findings),
        "worst": worst_of([finding.state for finding in findings]),
        "kit": [need.as_dict() for need in kit],
        "kit_cents": sum(need.cents for need in kit if not need.as_dict()["supply"]),
        "remedies": [price_remedy(remedy, records.parts, rate) for remedy in cures],
        "remedy_cents": sum(price_remedy(remedy, records.parts, rate)["cents"] for remedy in cures),
        "taken": [remedy.key for remedy in done],
        "measures": [measure.as_dict() for measure in measures_of(findings)],
    }


def open_measurements(*, boat: Boat, case: JsonDict, plan: JsonDict) -> list[dict[str, str]]:
    """What is to be measured aboard before this plan can be called good, each once.

    Each has `key`, `what` in words, `section` (the part of the records where it is entered:
    units, places, banks, backbone, cables, boat, catalogue) and `place` aboard.
    """
    return check_plans(boat=boat, case=case, plans=[plan])[0]["measures"]


def _shown(finding: Finding, records: CheckRecords, rate: int) -> JsonDict:
    priced = [price_remedy(remedy, records.parts, rate) for remedy in finding.remedies]
    return finding.as_dict() | {"remedies": priced, "taken_words": _taken_words(finding.inputs)}


def _taken_words(inputs: JsonDict) -> list[str]:
    """What a check took, in words: `draw a` is no word, so the unit stands behind it."""
    return [f"{_name(name)} {_value(value)}" for name, value in inputs.items()]


def _name(name: str) -> str:
    stem, _, unit = name.rpartition("_")
    known = UNIT_WORDS.get(unit)
    return (
        f"{stem.replace('_', ' ')} ({known}):" if stem and known else f"{name}:".replace("_", " ")
    )


def _value(value: Any) -> str:
    if value is None or value == "":
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict):
        return ", ".join(f"{key} {_value(each)}" for key, each in value.items()) or "none"
    if isinstance(value, list | tuple):
        return " × ".join(_value(each) for each in value) or "none"
    return f"{value:g}" if isinstance(value, float) else str(value)


def _counts(findings: Sequence[Finding]) -> list[JsonDict]:
    """How many are in each state, worst first; states without any are left out."""
    found = Counter(finding.state for finding in findings)
    return [
        {"state": state, "words": STATE_WORDS[state], "count": found[state]}
        for state in reversed(STATES)
        if found[state]
    ]


def _kit(facts: CheckFacts, case: JsonDict, plan: JsonDict) -> list[Any]:
    bought = {
        unit["unit"]
        for unit in plan["units"]
        if unit["fate"] == "added" and case["catalogue"]["models"][unit["model"]]["fuse_ma"]
    }
    return kit_of(facts, spare_ports=_spare_ports(case, plan), has_fuse=frozenset(bought))


def _spare_ports(case: JsonDict, plan: JsonDict) -> list[SparePorts]:
    """Unused ports of the switches that the plan fits."""
    used = Counter(end for link in plan["links"] for end in link["between"])
    models = case["catalogue"]["models"]
    return [
        SparePorts(
            unit_label(case, unit), max(0, models[unit["model"]]["ports"] - used[unit["unit"]])
        )
        for unit in plan["units"]
        if unit["fate"] in {"added", "replaced"} and models[unit["model"]]["kind"] == Kind.SWITCH
    ]
