"""The demo's jobs in every state, worked through by the shop's own services and dated back."""

from datetime import timedelta
from decimal import Decimal

from django.db import transaction
from django.db.models import F

from shopapp.accounts.models import User
from shopapp.boats.models import Evidence, Unit
from shopapp.demo.quotes import Cast
from shopapp.jobs.models import Document, Job, Letter, Move, PickLine, Problem, WorkStep
from shopapp.jobs.services.closing import close_job
from shopapp.jobs.services.finishing import bill_job, hand_over_job
from shopapp.jobs.services.picking import count_picked, open_list, reserve_short
from shopapp.jobs.services.risk import take_risk, undecided_on
from shopapp.jobs.services.scheduling import (
    cancel_job,
    hold_job,
    move_along,
    schedule_job,
    start_job,
)
from shopapp.jobs.services.steps import Answer, answer_step, releases_for
from shopapp.stock.services import book, item_at

LADDER = ("ready", "scheduled", "on_job", "done", "checked", "handed_over", "billed", "closed")
OWNERS_WORD = "The owner knows and agrees."
HOLDS = ("Waiting for the yard's lift.", "Owner has the keys.", "A bracket is missing.")


def drive_job(cast: Cast, job: Job, state: str, days_ahead: int) -> None:
    """Bring a fresh job to one of its states, as people would."""
    if state == "opened":
        Job.objects.filter(pk=job.pk).update(state=Job.State.OPENED)
        return
    if state == "cancelled":
        cancel_job(job=job, reason="The boat was sold.", by=cast.people["marta"])
        return
    if state == "waiting":
        return
    fetch_parts(cast, job)
    last = LADDER.index("on_job" if state == "held" else state)
    for rung in LADDER[: last + 1]:
        job = Job.objects.select_related(
            "shop", "technician", "boat", "customer", "quote", "option"
        ).get(pk=job.pk)
        climb(cast, job, rung, days_ahead)
    if state == "held":
        job.refresh_from_db()
        hold_job(job=job, reason=cast.random.choice(HOLDS), by=job.technician)


def climb(cast: Cast, job: Job, rung: str, days_ahead: int) -> None:
    """One move up the ladder."""
    people = cast.people
    if rung == "ready":
        if job.state != Job.State.READY:
            move_along(job=job, after="ready", by=people["pip"])
    elif rung == "scheduled":
        technician = cast.random.choice([people["tobin"], people["iris"]])
        day = cast.today + timedelta(days=days_ahead)
        schedule_job(job=job, technician=technician, day=day, by=people["wren"])
    elif rung == "on_job":
        begin(cast, job)
    elif rung == "done":
        answer_all(cast, job)
        close_job(job=job, by=job.technician)
    elif rung == "handed_over":
        hand_over_job(job=job, reason=job.customer.name, by=people["wren"])
    elif rung == "billed":
        bill_job(job=job, reason=f"B-{job.number.removeprefix('J-')}", by=people["marta"])
    else:
        move_along(job=job, after=rung, by=people["marta"], note=OWNERS_WORD)


def begin(cast: Cast, job: Job) -> None:
    """The tote is picked, what is open is taken on by name, the cautions are ticked."""
    pick_all(cast, job)
    if undecided_on(job):
        marta = cast.people["marta"]
        take_risk(job=job, reason="The owner wants it tried on the day.", by=marta)
    start_job(job=job, by=job.technician)
    tick_cautions(job)


@transaction.atomic
def fetch_parts(cast: Cast, job: Job) -> None:
    """What was short has come in: more on the shelf, reserved for this job."""
    pick_list = open_list(job)
    for line in pick_list.lines.select_related("part"):
        if line.short and not line.spare:
            item = item_at(part=line.part, place="Goods in")
            book(item, "receive", on_hand=line.wanted, reason="Delivered")
    reserve_short(job=job, by=cast.people["pip"])
    job.refresh_from_db()


def pick_all(cast: Cast, job: Job) -> None:
    """Everything that is reserved lies in the tote."""
    lines = PickLine.objects.filter(pick_list__job=job)
    counts = {line.pk: line.reserved for line in lines}
    count_picked(job=job, counts=counts, by=cast.people["pip"])


def tick_cautions(job: Job) -> None:
    """The technician has read and ticked each caution."""
    for step in WorkStep.objects.filter(job=job, caution=True).select_related("job"):
        answer_step(step=step, by=job.technician, answer=Answer(state="done"))


def answer_all(cast: Cast, job: Job) -> None:
    """Every open step answered, readings within what was expected."""
    for step in WorkStep.objects.filter(job=job, state="todo").select_related("job__boat"):
        answer_step(step=step, by=job.technician, answer=answer_for(cast, step))


def answer_for(cast: Cast, step: WorkStep) -> Answer:
    """What a technician would find at this step."""
    if step.asks == WorkStep.Asks.READING:
        low = step.expect_low or Decimal("12.0")
        return Answer(state="done", reading=low + Decimal("0.2"))
    if step.asks == WorkStep.Asks.SERIAL:
        return Answer(state="done", found=f"HL{cast.random.randrange(10**7):07d}")
    if step.asks == WorkStep.Asks.RELEASE:
        known = releases_for(step)
        planned = planned_release(step)
        return Answer(state="done", found=planned if planned in known else known[-1])
    return Answer(state="done")


def planned_release(step: WorkStep) -> str:
    """The release at which the plan leaves the step's unit."""
    for row in step.job.plan.get("units", []):
        if row["unit"] == step.unit_key:
            return row["release"] or ""
    return ""


def note_problem(cast: Cast, job: Job, by: User) -> None:
    """A problem on a job that came back: a unit seen to drop out."""
    unit = Unit.objects.aboard().filter(boat=job.boat).select_related("model").first()
    if unit is None:
        return
    Problem.objects.create(
        shop=cast.shop,
        job=job,
        boat=job.boat,
        unit=unit,
        model=unit.model,
        release=unit.release,
        symptom="not_seen",
        words="Not in the list of the others after power up; there after a second start.",
        minutes_lost=25,
        noted_by=by,
    )


def date_job_back(job: Job, days: int) -> None:
    """Shift a job with all that it wrote into the past; old papers are not printed again."""
    back = timedelta(days=days)
    job.refresh_from_db()
    Job.objects.filter(pk=job.pk).update(
        opened_at=job.opened_at - back,
        started_at=job.started_at and job.started_at - back,
        done_at=job.done_at and job.done_at - back,
        closed_at=job.closed_at and job.closed_at - back,
        planned_on=job.planned_on and job.planned_on - back,
    )
    Move.objects.filter(job=job).update(at=F("at") - back)
    WorkStep.objects.filter(job=job).update(done_at=F("done_at") - back)
    Problem.objects.filter(job=job).update(noted_at=F("noted_at") - back)
    Evidence.objects.filter(job_number=job.number, boat=job.boat).update(
        seen_at=F("seen_at") - back, noted_at=F("noted_at") - back
    )
    Unit.objects.filter(fitted_under=job.number, boat=job.boat).update(
        fitted_on=job.done_at and (job.done_at - back).date()
    )
    if days > 30:
        Document.objects.filter(job=job).delete()
        Letter.objects.filter(quote=job.quote_id).update(paper=None)
        Document.objects.filter(quote=job.quote_id).delete()
