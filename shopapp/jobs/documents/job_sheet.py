"""The facts of a work order, in the order in which the technician needs them."""

from shopapp.boats.models import Bank
from shopapp.catalog.models import Update
from shopapp.customers.models import Customer
from shopapp.jobs.cautions import Caution, cautions_for
from shopapp.jobs.documents.check_rows import check_facts
from shopapp.jobs.documents.common import (
    Facts,
    boat_facts,
    customer_facts,
    day_words,
    local_day,
    shop_facts,
)
from shopapp.jobs.documents.dangers import dangers_of
from shopapp.jobs.documents.plan_rows import (
    PlanPaper,
    idle_cables,
    link_rows,
    unit_rows,
    update_rows,
)
from shopapp.jobs.documents.punch import HANDOVER, punch_list
from shopapp.jobs.documents.readings import expected_words
from shopapp.jobs.models import Job, PickList, WorkStep

# Which of the job's own caution steps says the same as a caution of the records.
SAID_BY_STEP = {
    "Z1": "power-off",
    "Z3": "fuse",
    "Z5": "fuel",
    "Z6": "chemistry",
    "Z8": "radar",
    "Z9": "aloft",
    "Z10": "compass",
    "Z12": "drill",
    "Z15": "update",
}


def job_for_paper(pk: int) -> Job:
    """The job with what its papers show; eight queries whatever its size."""
    rows = Job.objects.select_related("shop", "boat", "customer", "technician", "quote")
    return rows.prefetch_related(
        "boat__banks",
        "boat__locations",
        "customer__phones",
        "customer__approvers",
        "steps",
        "pick_lists__lines__part",
    ).get(pk=pk)


def work_order_facts(job: Job) -> Facts:
    """All that a work order shows, as plain data; at most one query more."""
    paper = PlanPaper(job.case, job.plan)
    units = unit_rows(paper)
    steps = list(job.steps.all())
    return {
        "shop": shop_facts(job.shop),
        "number": job.number,
        "title": job.title,
        "boat": boat_facts(job.boat),
        "where": _where(job),
        "who": _who(job),
        "banks": [_bank(bank) for bank in job.boat.banks.all() if bank.retired_at is None],
        "asked_for": job.asked_for,
        "must_not_change": job.must_not_change,
        "cautions": _cautions(job, steps),
        "units": units,
        "links": link_rows(paper, job.ports),
        "idle_cables": idle_cables(paper),
        "parts": _parts(job),
        "steps": [_step(step) for step in steps if not step.caution],
        "checks": check_facts(job.checks),
        "minutes": job.minutes_planned,
        "updates": update_rows(paper, _means(paper, job.shop_id)),
        "punch": punch_list(units),
        "handover": HANDOVER,
    }


def _where(job: Job) -> Facts:
    boat = job.boat
    rooms = [
        {"name": place.name, "note": place.room_note, "vapour": place.vapour}
        for place in boat.locations.all()
    ]
    return {
        "access": boat.access,
        "dock_power": boat.dock_power,
        "note": boat.note,
        "planned_on": day_words(job.planned_on),
        "places": sorted(rooms, key=lambda room: room["name"]),
    }


def _who(job: Job) -> Facts:
    customer = job.customer
    return {
        "customer": customer_facts(customer),
        "technician": str(job.technician) if job.technician else "",
        "technician_note": customer.technician_note,
        "limit_cents": customer.approve_limit_cents,
        "approvers": _approvers(customer),
        "accepted_by": job.quote.answered_by if job.quote else "",
        "accepted_on": day_words(local_day(job.quote.answered_at, job.shop)) if job.quote else "",
        "quote": str(job.quote) if job.quote else "",
    }


def _approvers(customer: Customer) -> list[Facts]:
    return [
        {"name": one.name, "relation": one.relation, "up_to_cents": one.up_to_cents}
        for one in customer.approvers.all()
    ]


def _bank(bank: Bank) -> Facts:
    return {
        "name": bank.name,
        "use": bank.get_use_display(),
        "chemistry": bank.get_chemistry_display(),
        "volts": bank.volts,
        "fuse_a": bank.fuse_a,
    }


def _cautions(job: Job, steps: list[WorkStep]) -> list[dict[str, str]]:
    """The job's own cautions first, then every one that the records call for beside them."""
    own = [
        {"code": step.key, "head": step.title, "text": step.detail, "unknown": ""}
        for step in steps
        if step.caution
    ]
    return own + [one.as_fact() for one in more_cautions(job, steps)]


def more_cautions(job: Job, steps: list[WorkStep]) -> list[Caution]:
    """The cautions that the records call for and that none of the job's steps says."""
    said = {step.key.rsplit(":", 1)[-1] for step in steps if step.caution}
    called_for = cautions_for(dangers_of(job.boat, job.case, job.plan))
    return [one for one in called_for if not said & {one.code, SAID_BY_STEP.get(one.code)}]


def _parts(job: Job) -> list[Facts]:
    return [
        {
            "number": line.part.number,
            "name": line.part.name,
            "count": line.wanted,
            "short": line.short,
            "spare": line.spare,
        }
        for pick_list in job.pick_lists.all()
        if pick_list.state != PickList.State.CANCELLED
        for line in pick_list.lines.all()
    ]


def _step(step: WorkStep) -> Facts:
    return {
        "title": step.title,
        "detail": step.detail,
        "unit": step.unit_key,
        "minutes": step.minutes,
        "asks": step.asks,
        "expect": expected_words(step),
        "measure": step.expect_unit,
    }


def _means(paper: PlanPaper, shop_id: int) -> dict[tuple[str, str, str], str]:
    if not paper.plan.get("updates"):
        return {}
    rows = Update.objects.filter(model__shop=shop_id, model__code__in=paper.codes())
    words = dict(Update.Means.choices)
    found = rows.values_list("model__code", "from_release__name", "to_release__name", "means")
    return {(code, before, after): words[means] for code, before, after, means in found}
