"""The questions of one sheet in their order: most valuable first, then the usual, then photos."""

from dataclasses import dataclass, field
from typing import Any

from planner.checks import open_measurements
from planner.loaders import build_case
from planner.models import PlanRun
from planner.plans import plan_columns
from planner.reasons.chosen import Chosen
from planner.reasons.measuring import Worth, measure_page
from shopapp.boats.models import Boat
from shopapp.jobs.surveying.aboard import Aboard
from shopapp.jobs.surveying.always import always_points, photo_points
from shopapp.jobs.surveying.measured import points_of_measure
from shopapp.jobs.surveying.points import Point, points_of

JsonDict = dict[str, Any]
NO_WISH: JsonDict = {"requests": [], "switches": {"models": [], "locations": [], "max_new": 0}}


@dataclass
class Asked:
    """The points of a sheet, and what the desk finds out without the boat."""

    points: list[Point] = field(default_factory=list)
    desk: list[dict[str, str]] = field(default_factory=list)


def asked_of(*, boat: Boat, run: PlanRun | None, option: int = 1) -> Asked:
    """What to ask on this boat: for this wish, or, without a planning, for the records alone.

    Asks the engine what each unknown is worth, within a page's time.
    """
    aboard = Aboard(boat)
    columns = plan_columns(run.answer or {}) if run else []
    plan = columns[option - 1].plan if columns else None
    found = Asked()
    for entry, worth in _ranked(boat, run, plan, option):
        points = points_of(entry, aboard, worth)
        found.points += points
        if not points:
            todo = {"what": entry["taken"], "todo": entry.get("confirm_by", "")}
            found.desk.append(todo)
    if plan is not None:
        _add_measures(found, boat, run, plan, aboard)
    if not boat.customer.approvers.exists():
        found.desk.append({"what": "Who may approve money is not on record.", "todo": "Ask."})
    found.points += always_points(aboard, plan) + photo_points(aboard)
    first: dict[str, Point] = {}
    for point in found.points:
        first.setdefault(point.key, point)
    found.points = list(first.values())
    return found


def _add_measures(found: Asked, boat: Boat, run: PlanRun, plan: JsonDict, aboard: Aboard) -> None:
    """What the checks of the plan wait for; what a maker's guide says is for the desk."""
    for measure in open_measurements(boat=boat, case=run.case, plan=plan):
        points = points_of_measure(measure, aboard)
        found.points += points
        if not points:
            todo = "Read the maker's guide." if measure["section"] == "catalogue" else "Measure."
            found.desk.append({"what": f"{measure['what']} is not on record.", "todo": todo})


def _ranked(
    boat: Boat, run: PlanRun | None, plan: JsonDict | None, option: int
) -> list[tuple[JsonDict, str]]:
    """The unknowns with what each is worth in words, the dearest to be wrong about first."""
    if run is None:
        unknowns = build_case(boat=boat, wishes=NO_WISH).case.get("unknowns", [])
        return [(entry, "") for entry in sorted(unknowns, key=_weight)]
    if plan is None:
        unknowns = run.assumptions or run.case.get("unknowns", [])
        return [(entry, "") for entry in sorted(unknowns, key=_weight)]
    page = measure_page(Chosen(run, option, plan))
    rows = [(row.turn.unknown, _worth(row)) for row in page["rows"]]
    told = {entry["key"] for entry, _ in rows}
    quiet = [*page["untried"], *(turn.unknown for turn in page["harmless"])]
    rest = [entry for entry in quiet if entry["key"] not in told]
    return _first_of_each(rows + [(entry, "") for entry in sorted(rest, key=_weight)])


def _worth(row: Worth) -> str:
    return f"{row.turn.tried}? {row.text}"[:200]


def _weight(entry: JsonDict) -> tuple[bool, bool]:
    return not entry.get("missing"), not entry.get("decides")


def _first_of_each(rows: list[tuple[JsonDict, str]]) -> list[tuple[JsonDict, str]]:
    found: dict[str, tuple[JsonDict, str]] = {}
    for entry, worth in rows:
        found.setdefault(entry["key"], (entry, worth))
    return list(found.values())
