"""What the page of a plan shows, put together from what is kept with it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from planner.checks.shown import check_rows, checks_of_run, groups_of, marks_of, rank, turned
from planner.differences import Change, differ_in_answers, differ_in_facts
from planner.loaders import build_case
from planner.models import PlanRun
from planner.picture import plan_sheet
from planner.pins import pin_called, pin_words
from planner.plans import STRATEGIES
from planner.sheet import (
    OptionColumn,
    link_rows,
    option_columns,
    options_sheet,
    step_rows,
    unit_rows,
)
from planner.verdicts import Reason, reason_of
from shopapp.boats.drawing import draw_boat, sheet_rows

JsonDict = dict[str, Any]
# More open questions than these call for a survey first: common practice, no source.
SURVEY_ABOVE = 7


def options_page(run: PlanRun, number: int) -> JsonDict:
    """The facts of a feasible plan's page with one option chosen."""
    columns = option_columns(run.case, run.answer, run.assumptions)
    chosen = columns[min(max(number, 1), len(columns)) - 1]
    facts = {"case": run.case, "plan": chosen.plan}
    checks = checks_of_run(run, columns)
    ranked = rank(columns, checks)
    shown = checks[columns.index(chosen)]
    drawn = plan_sheet(**facts, boat=run.boat, marks=marks_of(shown))
    sheet = options_sheet(case=run.case, columns=columns)
    return {
        "sheet": replace(sheet, rows=[*sheet.rows, *check_rows(columns, checks)]),
        "checks": shown,
        "check_groups": groups_of(shown),
        "ranked": ranked,
        "turned": turned(columns, ranked),
        "chosen": chosen,
        "picture": draw_boat(drawn, key=f"plan-{run.pk}-{chosen.number}"),
        "drawn_rows": sheet_rows(drawn),
        "units": unit_rows(**facts),
        "links": link_rows(**facts),
        "steps": step_rows(**facts),
        "assumptions": _marked(run.assumptions, chosen),
        "survey_first": sum(entry["decides"] for entry in run.assumptions) > SURVEY_ABOVE,
        "no_keep_all": run.answer["strategies"].get("keep_all", ...) is None,
        "keep_all_words": STRATEGIES["keep_all"],
    }


def _marked(assumptions: list[JsonDict], chosen: OptionColumn) -> list[JsonDict]:
    """The assumptions with whether the chosen option rests on them, and on which options."""
    return [
        entry
        | {
            "chosen": chosen.number - 1 in entry["options"],
            "on": ", ".join(str(place + 1) for place in entry["options"]),
        }
        for entry in assumptions
    ]


@dataclass(frozen=True)
class Clash:
    """One thing that clashes: a wish, a pin, a statement (with its reason), or a limit."""

    id: str
    kind: str
    text: str
    reason: Reason | None = None


@dataclass(frozen=True)
class WayOut:
    """A smallest way out; `drop` names the wishes to drop, empty where a rule stands in it."""

    clashes: list[Clash]
    drop: list[str]
    label: str


def conflict_page(run: PlanRun) -> JsonDict:
    """The facts of an impossible wish's page: the smallest clash and every smallest way out."""
    pins = run.wishes.get("pins", [])
    names = run.answer.get("conflict")
    ways = run.answer.get("relaxations") or []
    return {
        "clash": [clash_of(run.case, name, pins) for name in names or []],
        "ways": sorted(
            (way_out(run.case, ids, pins) for ids in ways), key=lambda way: not way.drop
        ),
        "clash_known": names is not None,
        "assumptions": run.assumptions,
    }


def clash_of(case: JsonDict, name: str, pins: Sequence[JsonDict] = ()) -> Clash:
    """One id of a conflict in words."""
    pin = pin_called(pins, name)
    if pin is not None:
        return Clash(name, "pin", pin_words(case, pin))
    if name == "dc_limit":
        amps = (case["boat"]["dc_limit_ma"] or 0) / 1000
        return Clash(name, "limit", f"The electronics feed carries at most {amps:g} A")
    if name == "max_new":
        return Clash(name, "switches", f"At most {_switches(case)}")
    for request in case["job"]["requests"]:
        if request["id"] == name:
            return Clash(name, "wish", request.get("words", name))
    statement = next(s for s in case["catalogue"]["statements"] if s["id"] == name)
    return Clash(name, "statement", statement["text"], reason_of(case, None, statement))


def _switches(case: JsonDict) -> str:
    most = case["job"]["switches"]["max_new"]
    return f"{most} new switch{'' if most == 1 else 'es'}"


def way_out(case: JsonDict, ids: list[str], pins: Sequence[JsonDict] = ()) -> WayOut:
    """One way out; only wishes, pins and the number of switches can be dropped by a button."""
    clashes = [clash_of(case, name, pins) for name in ids]
    if any(clash.kind in {"statement", "limit"} for clash in clashes):
        return WayOut(clashes, [], "")
    words = [
        "allow three switches more" if c.kind == "switches" else f"without “{c.text}”"
        for c in clashes
    ]
    return WayOut(clashes, ids, f"Plan again {' and '.join(words)}")


@dataclass(frozen=True)
class Changes:
    """Changes under their headings."""

    groups: list[tuple[str, list[Change]]]

    def __bool__(self) -> bool:
        return bool(self.groups)


def changes_page(run: PlanRun) -> JsonDict:
    """What changed since the plan that this one repeats."""
    currency = run.shop.currency
    before = run.again_of
    since_before: list[Change] = []
    if before is not None:
        since_before = differ_in_facts(before.case, run.case, currency=currency)
        since_before += differ_in_answers(
            (before.case, before.answer), (run.case, run.answer), currency=currency
        )
    return {"before": before, "since_before": grouped(since_before)}


def changes_today(run: PlanRun) -> Changes:
    """What the records of today say otherwise than this plan knew."""
    today = build_case(boat=run.boat, wishes=run.wishes).case
    return grouped(differ_in_facts(run.case, today, currency=run.shop.currency))


def grouped(changes: list[Change]) -> Changes:
    """Changes by their heading, in the order in which they were found."""
    groups: dict[str, list[Change]] = {}
    for change in changes:
        groups.setdefault(change.group, []).append(change)
    return Changes(list(groups.items()))
