"""After the work: checked by a second person, handed over to the owner, billed, books closed."""

from django.db import transaction

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Document, Job, Move, PickLine, PickList, WorkStep
from shopapp.jobs.services.moves import move_job
from shopapp.jobs.services.papers import OF_JOB, request_document

State = Job.State
CHIEFS = ("manager", "owner")
PACK = (Document.DocumentKind.RECORD, Document.DocumentKind.HANDOVER)
NAMED = 4


@transaction.atomic
def check_job(*, job: Job, by: User, words: str = "") -> Move:
    """A second person, or a manager, has looked over the work and its punch list.

    What was left undone needs the owner's word in `words`. The commissioning record and the
    handover pack are asked for. MoveRefused where the person worked on the job alone, FactRefused
    (`field="reason"`) where words are missing.
    """
    _check_second_person(job, by)
    left = list(job.steps.filter(state__in=["could_not", "skipped"], caution=False))
    said = words.strip()
    if left and not said:
        raise FactRefused(
            f"{_named(left)} was left undone: write down what the owner said to that.",
            field="reason",
        )
    move = move_job(job=job, after=State.CHECKED, by=by, note=said)
    for kind in PACK:
        if kind in OF_JOB:
            request_document(kind=kind, by=by, job=job)
    return move


def _check_second_person(job: Job, by: User) -> None:
    if job.state != State.DONE or by.role in CHIEFS:
        return
    worked = job.steps.filter(done_by=by).exists()
    if worked or job.technician_id == by.pk:
        raise MoveRefused(
            "Who did the work does not check it.",
            todo="Ask a second technician or a manager to look it over.",
        )


def _named(steps: list[WorkStep]) -> str:
    words = "; ".join(step.title for step in steps[:NAMED])
    more = len(steps) - NAMED
    return f"{words}; and {more} more" if more > 0 else words


def hand_over_job(*, job: Job, reason: str, by: User) -> Move:
    """The owner (`reason` is the name) has seen the work and taken the handover pack."""
    name = " ".join(reason.split())[:120]
    if not name:
        raise FactRefused("Write the name of who took it over.", field="reason")
    return move_job(
        job=job,
        after=State.HANDED_OVER,
        by=by,
        note=f"Handed over to {name}.",
        facts={"handed_over_to": name},
    )


def bill_job(*, job: Job, reason: str, by: User) -> Move:
    """The bill is written; `reason` is its number in the shop's books."""
    number = reason.strip()[:40]
    if not number:
        raise FactRefused("Write the number of the bill.", field="reason")
    return move_job(
        job=job,
        after=State.BILLED,
        by=by,
        note=f"Bill {number}.",
        facts={"bill_number": number},
    )


def check_books(job: Job) -> None:
    """MoveRefused while parts are still out, or a new unit has neither serial nor a word on it."""
    out = job.pick_lists.filter(state__in=[PickList.State.OPEN, PickList.State.STAGED])
    if out.exists():
        raise MoveRefused(
            f"The pick list of {job} is still open.", todo="Bring the leftovers back first."
        )
    if PickLine.objects.filter(pick_list__job=job, state=PickLine.State.ISSUED).exists():
        raise MoveRefused(
            f"Parts of {job} went out, were not used and have not come back.",
            todo="Write on the leftovers' page what became of them.",
        )
    bare = job.steps.filter(kind="fit", state=WorkStep.State.DONE, asks="serial", found="", note="")
    if bare.exists():
        raise MoveRefused(
            f"{_named(list(bare))}: no serial number and no word on why.",
            todo="Write it on the boat's record first.",
        )
