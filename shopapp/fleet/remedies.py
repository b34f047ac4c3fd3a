"""What one boat needs because of a bulletin: wishes for the planner, and its answer in short."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from planner.plans import plan_columns
from planner.services import plan_unkept
from planner.sheet import step_rows
from planner.telling import bought_words, opening_sentence, update_words
from shopapp.boats.models import Unit
from shopapp.catalog.models import EquipmentModel, LabourTask, Part, Release
from shopapp.errors import FactRefused
from shopapp.fleet.models import Bulletin, CampaignBoat
from shopapp.jobs.services.lines import AFTER_WORK, BEFORE_WORK

JsonDict = dict[str, Any]
PLAN_SECONDS = 10.0
TARGETS_TRIED = 4
SWITCHES = {"models": [], "locations": [], "max_new": 0}
FIRMWARE = (Bulletin.Kind.WITHDRAWN, Bulletin.Kind.URGED)


@dataclass
class Needs:
    """Steps, parts and minutes for one boat, or why they cannot be told."""

    wishes: JsonDict | None = None
    sentence: str = ""
    steps: list[JsonDict] = field(default_factory=list)
    updates: list[str] = field(default_factory=list)
    bought: list[str] = field(default_factory=list)
    parts: dict[int, int] = field(default_factory=dict)
    minutes: int | None = None
    fault: str = ""


def needs_of(row: CampaignBoat) -> Needs:
    """Ask the planner what this boat needs; the first of the bulletin's ways that can be done."""
    bulletin, fault = row.campaign.bulletin, "No unit aboard is named by the records."
    for wishes in ways_of(bulletin, row):
        try:
            case, answer = plan_unkept(boat=row.boat, wishes=wishes, seconds=PLAN_SECONDS)
        except FactRefused as refused:
            fault = refused.message
            continue
        columns = plan_columns(answer)
        if columns:
            return _told(bulletin, row, wishes, case, columns[0].plan)
        fault = "The planner finds no way that meets the statements in force: look at the boat."
    return Needs(fault=fault)


def ways_of(bulletin: Bulletin, row: CampaignBoat) -> Iterator[JsonDict]:
    """Wishes for a plan that puts the boat right, the best first."""
    names = [name for name, *_ in row.units]
    units = Unit.objects.aboard().filter(boat=row.boat_id, name__in=names)
    units = list(units.select_related("model", "release").order_by("pk"))
    if bulletin.kind in FIRMWARE:
        units = [unit for unit in units if unit.model_id == bulletin.release.model_id]
        for target in targets_of(bulletin):
            yield _wishes(units, pins=[_at(unit, target) for unit in units])
    elif bulletin.kind == Bulletin.Kind.RULE:
        yield _wishes(units)
        yield _wishes([])
    elif bulletin.replace_by_id:
        yield _wishes(sold_as(bulletin.part, units), by=bulletin.replace_by)
    else:
        yield _wishes(units)


def targets_of(bulletin: Bulletin) -> list[Release]:
    """Releases that put a unit right, the nearest first; the one that the bulletin names alone."""
    if bulletin.target_id:
        return [bulletin.target]
    rank = bulletin.release.rank
    known = bulletin.release.model.releases.filter(withdrawn=False)
    if bulletin.kind == Bulletin.Kind.URGED:
        return list(known.filter(rank__gte=rank).order_by("rank")[:TARGETS_TRIED])
    later = list(known.filter(rank__gt=rank).order_by("rank"))
    return (later + list(known.filter(rank__lt=rank).order_by("-rank")))[:TARGETS_TRIED]


def sold_as(part: Part, units: list[Unit]) -> list[Unit]:
    """Those units that are sold as that part."""
    return [unit for unit in units if unit.model.part_id == part.pk]


def _at(unit: Unit, target: Release) -> JsonDict:
    return {"pin": "unit", "unit": unit.name, "fate": "stays", "release": target.name}


def _wishes(
    units: list[Unit], *, pins: list[JsonDict] | None = None, by: EquipmentModel | None = None
) -> JsonDict:
    requests = []
    for number, unit in enumerate(units, start=1):
        wish = {"id": f"wish-{number}", "kind": "keep", "device": unit.name}
        if by is not None:
            wish |= {"kind": "replace", "models": [by.code]}
        requests.append(wish)
    return {"requests": requests, "switches": SWITCHES, "options": 1, "pins": pins or []}


def exchanged(bulletin: Bulletin, row: CampaignBoat) -> int:
    """How many pieces of a recalled part are exchanged for new ones of the same."""
    if bulletin.kind != Bulletin.Kind.RECALLED or bulletin.replace_by_id:
        return 0
    return sum(count for *_, count in row.units)


def exchange_minutes(bulletin: Bulletin, row: CampaignBoat) -> int:
    """Minutes to exchange them: the bulletin's a piece, else the catalogue's of the model."""
    pieces = exchanged(bulletin, row)
    model = EquipmentModel.objects.filter(part=bulletin.part).first() if pieces else None
    if bulletin.minutes or model is None:
        return pieces * bulletin.minutes
    return pieces * (model.remove_minutes + model.fit_minutes)


def _told(
    bulletin: Bulletin, row: CampaignBoat, wishes: JsonDict, case: JsonDict, plan: JsonDict
) -> Needs:
    pieces, extra = exchanged(bulletin, row), exchange_minutes(bulletin, row)
    steps = [
        {"title": one["title"], "minutes": one["minutes"], "caution": one["caution"]}
        for one in step_rows(case, plan)
    ]
    bought, parts = bought_words(case, plan), _parts(row, plan)
    if pieces:
        words = f"Exchange {bulletin.part} × {pieces}"
        steps.append({"title": words, "minutes": extra, "caution": False})
        bought = [*bought, f"{pieces} × {bulletin.part}"]
        parts[bulletin.part_id] = parts.get(bulletin.part_id, 0) + pieces
    return Needs(
        wishes=wishes,
        sentence=bulletin.remedy or (opening_sentence(case, plan) if not pieces else words),
        steps=steps,
        updates=update_words(case, plan),
        bought=bought,
        parts=parts,
        minutes=plan["labour_minutes"] + extra + visit_minutes(row),
    )


def _parts(row: CampaignBoat, plan: JsonDict) -> dict[int, int]:
    """Part -> how many the plan buys; models by the part that they are sold as."""
    shop, keys = row.campaign.shop_id, [key for key, count in plan["parts"].items() if count]
    found: dict[int, int] = {}
    small = Part.objects.of(shop).filter(number__in=keys)
    numbers = dict(small.values_list("number", "pk")) if keys else {}
    sold = EquipmentModel.objects.of(shop).filter(code__in=keys, part__isnull=False)
    numbers |= dict(sold.values_list("code", "part")) if keys else {}
    for key in keys:
        if key in numbers:
            found[numbers[key]] = found.get(numbers[key], 0) + plan["parts"][key]
    return found


def visit_minutes(row: CampaignBoat) -> int:
    """What every visit takes besides: make safe, label, prove, hand over."""
    tasks = LabourTask.objects.of(row.campaign.shop_id).current()
    codes = BEFORE_WORK + AFTER_WORK
    return sum(tasks.filter(code__in=codes).values_list("typical_minutes", flat=True))
