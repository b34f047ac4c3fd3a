"""A comeback is a new work order, linked to the old one, with its cause."""

from decimal import Decimal

from django.db import transaction
from django.db.models import F

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Document, Job, Move, WorkStep
from shopapp.jobs.services.moves import move_job, opened
from shopapp.jobs.services.numbers import next_number
from shopapp.jobs.services.papers import request_document

CAME_BACK_FROM = ("done", "checked", "handed_over", "billed", "closed")
LOOK_MINUTES = 60
# Two terminators of 120 Ω side by side read 60 Ω: NMEA 2000 / IEC 61162-3; the band around it, and
# the volts of a supply that works, are common practice without a source.
FIRST_READINGS = (
    ("volts", "Volts at the plug of the unit that fails", "V", Decimal("11"), Decimal("14.6"), 10),
    (
        "backbone",
        "Backbone, power off, white to blue: leave empty with a note where there is none",
        "Ω",
        Decimal("55"),
        Decimal("65"),
        10,
    ),
)


@transaction.atomic
def open_comeback(*, job: Job, cause: str, words: str, by: User) -> Job:
    """The new job, ready to be given a day; its steps begin with readings, so that it has facts.

    `words` is what the customer reports. FactRefused beside `words` or `cause`; MoveRefused while
    the old job's work is not done.
    """
    _check(job, cause, words)
    fresh = Job.objects.create(
        shop=job.shop,
        number=next_number(shop=job.shop, series="J"),
        comeback_of=job,
        comeback_cause=cause,
        boat=job.boat,
        customer=job.boat.customer or job.customer,
        title=f"Comeback: {job.title}"[:120],
        asked_for=words.strip(),
        must_not_change=job.must_not_change,
        minutes_planned=LOOK_MINUTES + sum(row[-1] for row in FIRST_READINGS),
    )
    opened(job=fresh, by=by, note=f"Comeback of {job}.")
    WorkStep.objects.bulk_create(first_steps(fresh, words))
    move_job(job=fresh, after=Job.State.READY, note="No parts are needed to begin.")
    note = f"Came back as {fresh}: {words.strip()}"
    Move.objects.create(job=job, before=job.state, after=job.state, by=by, note=note[:300])
    request_document(kind=Document.DocumentKind.WORK_ORDER, by=by, job=fresh)
    return fresh


def _check(job: Job, cause: str, words: str) -> None:
    if job.state not in CAME_BACK_FROM:
        raise MoveRefused(
            f"{job} is “{job.get_state_display()}”: its work is not done yet.",
            todo="Note a problem on it instead.",
        )
    if not words.strip():
        raise FactRefused("Write what the customer reports.", field="words")
    if cause not in Job.Cause.values:
        raise FactRefused("Say the cause, or that it is not known yet.", field="cause")


def first_steps(job: Job, words: str) -> list[WorkStep]:
    """Look, read, find the cause, put it right, try everything; unsaved."""
    said = f"Reported: {words.strip()}"
    rows = [WorkStep(key="look", kind="look", title="See it fail for yourself", detail=said)]
    rows += [
        WorkStep(
            key=f"reading:{key}",
            kind="reading",
            title=title,
            asks=WorkStep.Asks.READING,
            expect_label=title.split(":")[0].split(",")[0][:120],
            expect_unit=unit,
            expect_low=low,
            expect_high=high,
            minutes=minutes,
        )
        for key, title, unit, low, high, minutes in FIRST_READINGS
    ]
    rows += [
        WorkStep(
            key="cause", kind="look", title="Find the cause", minutes=LOOK_MINUTES,
            detail="Write it in the note: our fitting, a part, firmware, the owner, unrelated.",
        ),
        WorkStep(
            key="mend", kind="look", title="Put it right, or write what it needs",
            detail="What needs parts or money beyond the agreed limit becomes a change order.",
        ),
        WorkStep(key="try", kind="look", title="Try everything again, engine running"),
    ]  # fmt: skip
    for position, row in enumerate(rows, start=1):
        row.job, row.position = job, position
    return rows


@transaction.atomic
def name_cause(*, job: Job, cause: str, by: User) -> Job:
    """Write down the cause of a comeback once it is known. MoveRefused for any other job."""
    if job.comeback_of_id is None:
        raise MoveRefused(f"{job} is no comeback.", todo="Note the cause on its problem.")
    if cause not in Job.Cause.values:
        raise FactRefused("Pick a cause.", field="cause")
    Job.objects.filter(pk=job.pk).update(comeback_cause=cause, version=F("version") + 1)
    note = f"Cause: {Job.Cause(cause).label}."
    Move.objects.create(job=job, before=job.state, after=job.state, by=by, note=note)
    job.refresh_from_db()
    return job
