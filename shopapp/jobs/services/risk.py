"""What decides whether a job works must be known before it starts, or a manager says so by name."""

from django.db import transaction
from django.db.models import F

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Assumption, Job, Move
from shopapp.jobs.services.quotes import undecided_of

CHIEFS = ("manager", "owner")


def undecided_on(job: Job) -> list[Assumption]:
    """What the job's own option takes for granted, decides whether it works, and nobody settled."""
    if job.quote is None or job.option is None:
        return []
    return undecided_of([job.option], list(job.quote.assumptions.all()))


def check_decided(job: Job) -> None:
    """MoveRefused while such an assumption is open and no manager took the risk."""
    if job.risk_taken_by_id is not None or job.started_at is not None:
        return
    open_ones = undecided_on(job)
    if open_ones:
        raise MoveRefused(
            f"Not confirmed yet, and it decides whether {job} works: "
            + " ".join(str(one) for one in open_ones),
            todo="Confirm it on the quote, or have a manager say by name that it may start.",
        )


@transaction.atomic
def take_risk(*, job: Job, reason: str, by: User) -> Job:
    """A manager says by name, with a reason, that the job may start all the same; on record.

    FactRefused without a reason; MoveRefused for other roles, or where nothing is open.
    """
    words = reason.strip()
    if not words:
        raise FactRefused("Say why it may start all the same.", field="reason")
    if by.role not in CHIEFS:
        raise MoveRefused("Only a manager takes this risk.", todo="Ask a manager.")
    numbers = ", ".join(f"A{one.number}" for one in undecided_on(job))
    if not numbers:
        raise MoveRefused("Nothing is open that would stop this job.", todo="Just start it.")
    Job.objects.filter(pk=job.pk).update(
        risk_taken_by=by, risk_words=words[:200], version=F("version") + 1
    )
    note = f"{by} lets it start with {numbers} open: {words}"
    Move.objects.create(job=job, before=job.state, after=job.state, by=by, note=note[:300])
    job.refresh_from_db()
    return job
