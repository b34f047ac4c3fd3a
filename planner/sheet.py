"""The options side by side: one column a plan, one row a fact, rows that differ marked.

Works on what is kept with a run, never on the records of today. A quote shows the same sheet
with its own money: it hands in `money`, the rest is the plan's.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from planner.engine import assign_ports, order_of_work
from planner.plans import STRATEGIES, model_name, plan_columns, slim, unit_label
from planner.telling import (
    bought_words,
    given_up_words,
    in_names,
    in_words,
    opening_sentence,
    update_words,
)
from planner.verdicts import Verdict, verdict_of

JsonDict = dict[str, Any]
MoneyRow = tuple[str, str, list[int]]


@dataclass(frozen=True)
class OptionColumn:
    """One option: its plan, who chose it, its opening sentence, its verdict."""

    number: int
    plan: JsonDict
    strategies: list[str]
    sentence: str
    verdict: Verdict
    assumptions: list[JsonDict]
    charged_cents: int

    @property
    def title(self) -> str:
        """The head of the column."""
        return f"Option {self.number}"

    @property
    def strategy_words(self) -> list[str]:
        """The strategies that chose this plan, in words."""
        return [STRATEGIES[name] for name in self.strategies]


@dataclass(frozen=True)
class SheetRow:
    """One row: `kind` says how a cell is shown: total, money, minutes, list or count."""

    label: str
    kind: str
    cells: list[Any]
    help: str = ""
    key: str = ""

    @property
    def differs(self) -> bool:
        """Whether the options differ here."""
        return any(cell != self.cells[0] for cell in self.cells[1:])


@dataclass(frozen=True)
class Sheet:
    """All options side by side."""

    columns: list[OptionColumn]
    rows: list[SheetRow] = field(default_factory=list)


def option_columns(
    case: JsonDict, answer: JsonDict, assumptions: Sequence[JsonDict] = ()
) -> list[OptionColumn]:
    """The columns of an answer, the options first; none where nothing is feasible."""
    found = []
    labour = case["catalogue"]["rates"]["labour_cents_per_minute"]
    for place, column in enumerate(plan_columns(answer)):
        own = [entry for entry in assumptions if place in entry["options"]]
        plan = column.plan
        found.append(
            OptionColumn(
                number=place + 1,
                plan=plan,
                strategies=column.strategies,
                sentence=opening_sentence(case, plan),
                verdict=verdict_of(case=case, plan=plan, assumptions=own),
                assumptions=own,
                charged_cents=plan["parts_cents"] + plan["labour_minutes"] * labour,
            )
        )
    return found


def options_sheet(
    *, case: JsonDict, columns: list[OptionColumn], money: list[MoneyRow] | None = None
) -> Sheet:
    """The sheet of some columns; `money` are rows of (label, kind, cents a column)."""
    plans = [column.plan for column in columns]
    shown = planned_money(columns) if money is None else money
    rows = [SheetRow(label, kind, cents, key=kind) for label, kind, cents in shown]
    rows += [
        SheetRow("What is bought", "list", [bought_words(case, p) for p in plans], key="bought"),
        SheetRow(
            "What is given up", "list", [given_up_words(case, p) for p in plans], key="given-up"
        ),
        SheetRow("Labour", "minutes", [p["labour_minutes"] for p in plans], key="hours"),
        SheetRow(
            "What must be updated", "list", [update_words(case, p) for p in plans], key="updates"
        ),
        SheetRow("Units touched", "count", [p["changes"] for p in plans]),
        SheetRow(
            "Not at their newest release", "count", [p["behind"] for p in plans], key="behind"
        ),
        SheetRow("What is not known", "unknowns", [_unknowns(c) for c in columns], key="unknown"),
    ]
    return Sheet(columns, rows)


def planned_money(columns: list[OptionColumn]) -> list[MoneyRow]:
    """The planner's own money: what is charged, and apart from it what is given up, counted."""
    plans = [column.plan for column in columns]
    rows: list[MoneyRow] = [
        ("Parts and labour", "total", [column.charged_cents for column in columns]),
        ("of it parts", "money", [plan["parts_cents"] for plan in plans]),
        (
            "of it labour",
            "money",
            [c.charged_cents - c.plan["parts_cents"] for c in columns],
        ),
    ]
    counted = [plan["penalty_cents"] for plan in plans]
    if any(counted):
        rows.append(("Given up, counted as (never charged)", "money", counted))
        rows.append(("Weighed by the planner", "money", [plan["total_cents"] for plan in plans]))
    return rows


def _unknowns(column: OptionColumn) -> list[tuple[int, bool]]:
    return [(entry["number"], entry["missing"]) for entry in column.assumptions]


def link_rows(case: JsonDict, plan: JsonDict) -> list[JsonDict]:
    """Each link of a plan with its ports: from, port, to, port, cable, feet, new."""
    known = {cable["id"]: cable.get("ends", {}) for cable in case["boat"]["cables"]}
    ports = assign_ports(slim(case, plan), plan, _complete(known))
    labels = {unit["unit"]: unit_label(case, unit) for unit in plan["units"]}
    lengths = {cable["id"]: cable.get("feet") for cable in case["boat"]["cables"]}
    rows = []
    for link in ports:
        one, other = link["between"]
        new = link["cable"].startswith("buy:")
        number = link["cable"].removeprefix("buy:")
        rows.append(
            {
                "a": labels[one],
                "b": labels[other],
                "units": (one, other),
                "ports": tuple(link["ports"]),
                "cable": in_names(case, number) if new else number,
                "id": link["cable"],
                "feet": link["feet"] if new else lengths.get(number, link["feet"]),
                "new": new,
            }
        )
    return rows


def _complete(known: dict[str, JsonDict]) -> dict[str, dict[str, int]]:
    """Cables of which both ports are noted."""
    return {
        label: ends for label, ends in known.items() if len(ends) == 2 and None not in ends.values()
    }


def step_rows(case: JsonDict, plan: JsonDict) -> list[JsonDict]:
    """The order of work with models by their names."""
    show = case.get("show", {})
    boat = show.get("boat", {})
    chemistries = {bank["chemistry"] for bank in show.get("banks", [])}
    context = {
        "dc_volts": boat.get("dc_volts"),
        "fuel": boat.get("fuel") or None,
        "chemistry": chemistries.pop() if len(chemistries) == 1 else None,
    }
    known = {name: value for name, value in context.items() if value}
    ports = {cable["id"]: cable.get("ends", {}) for cable in case["boat"]["cables"]}
    steps = order_of_work(slim(case, plan), plan, known, _complete(ports))
    return [
        step | {key: in_words(case, plan, step[key]) for key in ("title", "detail") if step[key]}
        for step in steps
    ]


def unit_rows(case: JsonDict, plan: JsonDict) -> list[JsonDict]:
    """The units of a plan before and after, in words, for a table."""
    devices = {device["id"]: device for device in case["boat"]["devices"]}
    return [
        {
            "unit": unit_label(case, unit),
            "model": model_name(case, unit["model"]),
            "was": _was(case, devices.get(unit["unit"])),
            "location": unit["location"],
            "release": unit["release"] or "",
            "networked": unit["networked"],
            "fate": unit["fate"],
        }
        for unit in plan["units"]
    ]


def _was(case: JsonDict, device: JsonDict | None) -> str:
    if device is None:
        return ""
    release = f", {device['release']}" if device["release"] else ""
    network = "on the network" if device["networked"] else "off the network"
    return f"{model_name(case, device['model'])}{release}, {network}"
