"""The checks of an answer's plans as a page shows them: beside the options, ranked, drawn."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from planner.checks.judging import check_plans
from planner.engine.checks import STATE_WORDS, STATES
from planner.models import PlanRun
from planner.sheet import OptionColumn, SheetRow

JsonDict = dict[str, Any]
Mark = tuple[str, str]
BANK_KINDS = frozenset({"block", "cutoff", "standby"})
RUN_KINDS = frozenset({"run", "loop"})
CAUTION = (
    "Estimates from what is noted aboard, not a survey. Local codes, the makers' manuals and a "
    "licensed or certified person decide."
)


@dataclass(frozen=True)
class Ranked:
    """An option with all that the checks add to its price."""

    column: OptionColumn
    cents: int
    given_up_cents: int


def checks_of_run(run: PlanRun, columns: Sequence[OptionColumn]) -> list[JsonDict]:
    """The checks of every column, with the boat's records as they stand now."""
    plans = [column.plan for column in columns]
    return check_plans(boat=run.boat, case=run.case, plans=plans)


def check_rows(columns: Sequence[OptionColumn], checks: Sequence[JsonDict]) -> list[SheetRow]:
    """Rows for the sheet of options: what the checks found, what small parts and remedies cost."""
    totals = [ranked_cents(*pair) for pair in zip(columns, checks, strict=True)]
    rows = [
        SheetRow("Checks", "list", [count_words(one) for one in checks], key="checks"),
        SheetRow("Wire, fuses, small parts", "money", [one["kit_cents"] for one in checks]),
    ]
    if any(one["remedy_cents"] for one in checks):
        cents = [one["remedy_cents"] for one in checks]
        rows.append(SheetRow("Remedies that the checks propose", "money", cents))
    rows.append(SheetRow("With small parts and remedies", "money", totals, key="with-remedies"))
    return rows


def count_words(checks: JsonDict) -> list[str]:
    """`3 × Stop`, worst first."""
    return [f"{row['count']} × {row['words']}" for row in checks["counts"]]


def ranked_cents(column: OptionColumn, checks: JsonDict) -> int:
    """What an option costs with its small parts and the smallest remedies."""
    return column.charged_cents + checks["kit_cents"] + checks["remedy_cents"]


def _given_up_cents(column: OptionColumn) -> int:
    """What is given up, as the planner counts it: never charged, but it ranks."""
    return column.plan["penalty_cents"]


def rank(columns: Sequence[OptionColumn], checks: Sequence[JsonDict]) -> list[Ranked]:
    """The options, best first: price with small parts and remedies, and what is given up."""
    costs = [(ranked_cents(*pair), pair[0]) for pair in zip(columns, checks, strict=True)]
    ordered = sorted(costs, key=lambda pair: (pair[0] + _given_up_cents(pair[1]), pair[1].number))
    return [Ranked(column, cents, _given_up_cents(column)) for cents, column in ordered]


def turned(columns: Sequence[OptionColumn], ranked: Sequence[Ranked]) -> str:
    """Which option the remedies make cheapest, in words; "" where they change nothing."""
    before = min(
        columns, key=lambda column: (column.charged_cents + _given_up_cents(column), column.number)
    )
    after = ranked[0].column
    if before.number == after.number:
        return ""
    return (
        f"With small parts and the remedies of the checks, {after.title} is the best buy, counting "
        f"what is given up; without them it was {before.title}."
    )


@dataclass(frozen=True)
class CheckMarks:
    """What the drawing is marked with: state and words by unit, run ("a--b") and backbone.

    Of banks also the place, since the drawing has none of its own. Nothing good is marked.
    """

    units: Mapping[str, Mark] = field(default_factory=dict)
    runs: Mapping[str, Mark] = field(default_factory=dict)
    backbones: Mapping[str, Mark] = field(default_factory=dict)
    banks: tuple[tuple[str, str, Mark], ...] = ()


def marks_of(checks: JsonDict | None) -> CheckMarks:
    """The marks of a plan's checks: of each thing its worst state, and what is not good with it."""
    found: dict[tuple[str, str, str], list[JsonDict]] = {}
    for finding in (checks or {}).get("findings", []):
        if finding["state"] != "good":
            found.setdefault(_marked(finding), []).append(finding)
    marks = {key: _mark(findings) for key, findings in found.items()}
    of = {
        what: {name: mark for (each, name, _), mark in marks.items() if each == what}
        for what in ("unit", "run", "backbone")
    }
    banks = tuple(
        (name, place, mark) for (what, name, place), mark in marks.items() if what == "bank"
    )
    return CheckMarks(of["unit"], of["run"], of["backbone"], banks)


def _marked(finding: JsonDict) -> tuple[str, str, str]:
    """What a finding marks: its kind, its name, and of a bank its place."""
    kind = finding["kind"]
    if kind in BANK_KINDS:
        return "bank", finding["label"], finding["place"]
    if kind in RUN_KINDS:
        return "run", finding["about"], ""
    # A unit on two backbones is marked itself.
    if kind.startswith("bus_") and kind != "bus_joined":
        return "backbone", finding["label"], ""
    return "unit", finding["about"], ""


def _mark(findings: list[JsonDict]) -> Mark:
    worst = max((finding["state"] for finding in findings), key=STATES.index)
    titles = dict.fromkeys(f["title"] for f in findings if f["state"] == worst)
    names = ", ".join(title[0].lower() + title[1:] for title in titles)
    return worst, f"{STATE_WORDS[worst]}: {names}"


def groups_of(checks: JsonDict | None) -> list[JsonDict]:
    """The findings by state, worst first, each group with its words."""
    findings = (checks or {}).get("findings", [])
    return [
        {
            "state": state,
            "words": STATE_WORDS[state],
            "findings": [finding for finding in findings if finding["state"] == state],
        }
        for state in reversed(STATES)
        if any(finding["state"] == state for finding in findings)
    ]
