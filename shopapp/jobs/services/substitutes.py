"""What may stand in for a short part: the like at a press, another model once it is proven.

A longer cable of the same kind is a like substitute (its slack is noted); a shorter one is not
(common practice, no source). Another model is a new question of compatibility: the planner answers
it on the job's own case, with the short model forbidden and that one allowed.
"""

from dataclasses import dataclass

from django.db import transaction
from django.db.models import F, QuerySet, Sum

from planner.models import PlanRun
from planner.substitutes import Proof, plan_instead, proof_of, tried_instead
from shopapp.accounts.models import User
from shopapp.catalog.models import EquipmentModel, Part
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import ChangeOrder, Job, PickLine
from shopapp.jobs.services.changing import begin_change
from shopapp.jobs.services.picking import fill_line, locked_list, make_ready
from shopapp.jobs.services.releasing import release_line
from shopapp.stock.models import StockItem

MOST_OFFERED = 12


@dataclass(frozen=True)
class Like:
    """A part that does the same: pieces free now, and what to know of it."""

    part: Part
    free: int
    note: str


@dataclass(frozen=True)
class Other:
    """Another model, with what the planner said of it (None while nobody asked)."""

    model: EquipmentModel
    free: int
    proof: Proof | None


def like_substitutes(line: PickLine) -> list[Like]:
    """The like substitutes of a line: free ones first, then the nearest; three queries."""
    part = line.part
    found = {row.part.pk: row for row in _declared(part)}
    if part.kind == Part.PartKind.CABLE:
        for other in _longer(part):
            extra = other.cable_ft - part.cable_ft
            note = f"{extra} ft longer: stow {extra} ft more slack"
            found.setdefault(other.pk, Like(other, 0, note))
    free = free_of(found)
    rows = [Like(row.part, free.get(pk, 0), row.note) for pk, row in found.items()]
    rows.sort(key=lambda row: (row.free < line.missing, row.part.cable_ft or 0, row.part.number))
    return rows[:MOST_OFFERED]


def _declared(part: Part) -> list[Like]:
    if part.kind == Part.PartKind.EQUIPMENT:
        return []
    rows = part.substitutes.filter(other__retired_at=None).select_related("other")
    return [Like(row.other, 0, row.note) for row in rows if _long_enough(part, row.other)]


def _long_enough(part: Part, other: Part) -> bool:
    return part.cable_ft is None or (other.cable_ft or 0) >= part.cable_ft


def _longer(part: Part) -> QuerySet[Part]:
    """Cables of the same kind, longer than this one."""
    rows = Part.objects.filter(shop=part.shop_id, kind=part.kind, retired_at=None)
    return rows.filter(cable_ft__gt=part.cable_ft).order_by("cable_ft", "number")


def free_of(parts: object) -> dict[int, int]:
    """Part -> pieces that nobody has spoken for; one query."""
    rows = StockItem.objects.filter(part__in=list(parts)).to_give_out().order_by().values("part")
    found = rows.annotate(free=Sum(F("on_hand") - F("reserved")))
    return {row["part"]: row["free"] for row in found}


@transaction.atomic
def take_like(*, line: PickLine, part: Part, by: User) -> PickLine:
    """Put a like substitute on the line instead, and reserve it.

    FactRefused (`part`) where it is no like substitute of the line's part; MoveRefused where the
    list is no longer open or the line is picked already.
    """
    job = line.pick_list.job
    pick_list = locked_list(job)
    line = _fresh(line)
    if line.picked or line.issued:
        raise MoveRefused(f"{line.part.number} is picked already.", todo="Put it back first.")
    offered = {row.part.pk: row for row in like_substitutes(line)}
    if part.pk not in offered:
        raise FactRefused(_why_not_like(line.part, part), field="part")
    release_line(line=line, ref=job.number, by=by)
    was = line.instead_of or line.part
    line.note = f"instead of {was.number}: {offered[part.pk].note}"[:120]
    line.instead_of = was if was.pk != part.pk else None
    line.part, line.stock = part, None
    line.settle_state().save()
    fill_line(line=line, by=by)
    make_ready(job=job, pick_list=pick_list, by=by)
    return line


def _fresh(line: PickLine) -> PickLine:
    rows = PickLine.objects.select_related("part", "stock", "instead_of", "pick_list__job")
    return rows.get(pk=line.pk)


def _why_not_like(part: Part, other: Part) -> str:
    if part.cable_ft and other.cable_ft and other.cable_ft < part.cable_ft:
        return (
            f"{other.number} is {other.cable_ft} ft; the run was planned with {part.cable_ft} ft. "
            "A shorter cable is no substitute."
        )
    if part.kind == Part.PartKind.EQUIPMENT:
        return f"{other.number} is another model: let the planner prove it first."
    return f"Nobody in the shop says that {other.number} does what {part.number} does."


def model_of_line(line: PickLine) -> EquipmentModel | None:
    """The model that a line's part is sold as; None for anything but equipment."""
    return EquipmentModel.objects.filter(part=line.part_id, shop=line.pick_list.job.shop_id).first()


def other_models(line: PickLine) -> list[Other]:
    """Models of the same kind that can be bought, free ones first, each with its proof if any."""
    job, model = line.pick_list.job, model_of_line(line)
    if model is None or job.quote is None:
        return []
    rows = EquipmentModel.objects.filter(shop=job.shop_id, kind=model.kind, retired_at=None)
    rows = rows.filter(part__price_cents__isnull=False, part__retired_at=None).exclude(pk=model.pk)
    models = list(rows.select_related("part", "family__maker").order_by("name"))
    free = free_of(one.part_id for one in models)
    tried = tried_instead(run=job.quote.run, model=model.code)
    found = [
        Other(one, free.get(one.part_id, 0), proof_for(job, tried.get(one.code))) for one in models
    ]
    found.sort(key=lambda one: (one.proof is None, -one.free, one.model.name))
    return found[:MOST_OFFERED]


def without_model(line: PickLine) -> Proof | None:
    """What the planner said of the job without that model at all; None while nobody asked."""
    job, model = line.pick_list.job, model_of_line(line)
    if model is None or job.quote is None:
        return None
    return proof_for(job, tried_instead(run=job.quote.run, model=model.code).get(""))


def proof_for(job: Job, run: PlanRun | None) -> Proof | None:
    """A planning beside what was sold with the job."""
    if run is None:
        return None
    strategies = job.option.strategies if job.option else ()
    return proof_of(run=run, sold=job.plan, sold_case=job.case, strategies=strategies)


def prove_model(*, line: PickLine, other: EquipmentModel | None, by: User) -> PlanRun:
    """Ask the planner: without the short model, with `other` allowed (None: without it at all)."""
    job, model = line.pick_list.job, model_of_line(line)
    if model is None or job.quote is None:
        raise FactRefused("This job was not planned; nobody can prove a substitute for it.")
    return plan_instead(
        run=job.quote.run,
        model=model.code,
        other=other.code if other else "",
        option=job.option.position if job.option else 1,
        by=by,
    )


@transaction.atomic
def change_to_model(*, line: PickLine, other: EquipmentModel, by: User) -> ChangeOrder:
    """Another model in place of the short one, as a change order with its plan; the customer
    says yes to it, and the pick list follows.

    MoveRefused where the job cannot be changed, FactRefused where no wish asks for the model.
    """
    job, model = line.pick_list.job, model_of_line(line)
    if model is None:
        raise FactRefused(f"{line.part.number} is no model; take the like of it.")
    words = f"{model.name} ({line.part.number}) cannot be had in time: {other.name} instead."
    change = begin_change(job=job, ground=ChangeOrder.Ground.SHORT, found=words, wishes=[], by=by)
    change.run = plan_instead(run=change.run, model=model.code, other=other.code, by=by)
    change.save(update_fields=["run"])
    return change
