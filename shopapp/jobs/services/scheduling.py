"""Give a job its day and technician, hold it, cancel it, and move it along."""

from collections.abc import Callable
from datetime import date, time

from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.cautions import Caution
from shopapp.jobs.documents.job_sheet import more_cautions
from shopapp.jobs.models import Job, Move, WorkStep
from shopapp.jobs.services.finishing import bill_job, check_books, check_job, hand_over_job
from shopapp.jobs.services.moves import move_job
from shopapp.jobs.services.releasing import release_lists
from shopapp.jobs.services.risk import check_decided
from shopapp.jobs.states import JOB_MOVES, role_may
from shopapp.roles import may

State = Job.State
# Moves that ask for more than a press have services of their own.
ASK_MORE = frozenset(
    {State.SCHEDULED, State.HELD, State.CANCELLED, State.DONE, State.HANDED_OVER, State.BILLED}
)
VERBS = {
    State.WAITING: "Wait for parts",
    State.READY: "Mark ready",
    State.SCHEDULED: "Schedule",
    State.ON_JOB: "Start the job",
    State.HELD: "Hold",
    State.DONE: "Close the job",
    State.CHECKED: "Mark checked",
    State.HANDED_OVER: "Hand over",
    State.BILLED: "Mark billed",
    State.CLOSED: "Close the books",
    State.CANCELLED: "Cancel the job",
}
BACK_VERBS = {
    (State.SCHEDULED, State.READY): "Take off the board",
    (State.DONE, State.ON_JOB): "Work on it again",
    (State.CHECKED, State.ON_JOB): "Work on it again",
    (State.HELD, State.ON_JOB): "Go on with the job",
}


def moves_for(*, job: Job, user: User) -> list[tuple[str, str]]:
    """The moves that this person may make now: (state, verb), in the order of the work."""
    order = list(State.values)
    found = [
        after for after in JOB_MOVES[job.state] if role_may(JOB_MOVES, job.state, after, user.role)
    ]
    if not may_work(job=job, user=user):
        found = [after for after in found if after not in {State.ON_JOB, State.DONE}]
    return [(after, _verb(job, after)) for after in sorted(found, key=order.index)]


def _verb(job: Job, after: str) -> str:
    return BACK_VERBS.get((State(job.state), State(after))) or VERBS[State(after)]


def may_work(*, job: Job, user: User) -> bool:
    """Whether this person may work the job: its technician, a helper, a manager or the owner."""
    return may(user, "jobs.work") and (
        job.technician_id == user.pk
        or user.role in {"manager", "owner"}
        or (user.shop_id == job.shop_id and job.helpers.filter(user=user).exists())
    )


def may_let_in(*, job: Job, user: User) -> bool:
    """Whether this person may take into the job what somebody else entered for it."""
    return may_work(job=job, user=user) or may(user, "jobs.schedule")


def move_along(*, job: Job, after: str, by: User, note: str = "") -> Move:
    """A move that needs no more than a press; the clock of the work is kept.

    MoveRefused where the move asks for more than that, or is not open to this person.
    """
    if after in ASK_MORE or after not in State.values:
        raise MoveRefused(
            "This move needs more than a press.", todo="Use its own form on the job's page."
        )
    if after == State.ON_JOB:
        return start_job(job=job, by=by)
    if after == State.CHECKED:
        return check_job(job=job, by=by, words=note)
    if after == State.CLOSED:
        check_books(job)
    facts = {"closed_at": timezone.now()} if after == State.CLOSED else {}
    if after == State.READY:
        facts["held_reason"] = ""
    return move_job(job=job, after=after, by=by, note=note, facts=facts)


@transaction.atomic
def start_job(*, job: Job, by: User) -> Move:
    """Go on the job: the clock starts at the first start. Pressing twice starts it once.

    MoveRefused while an assumption that decides whether it works is open, unless a manager said
    by name that it may start all the same.
    """
    if not may_work(job=job, user=by):
        raise MoveRefused(
            f"{job} is {job.technician or 'nobody'}'s job.",
            todo="Ask the desk to give it to you first.",
        )
    check_decided(job)
    facts = {"started_at": job.started_at or timezone.now(), "held_reason": "", "done_at": None}
    move = move_job(job=job, after=State.ON_JOB, by=by, facts=facts)
    lay_cautions(job)
    return move


def lay_cautions(job: Job) -> None:
    """Steps for the cautions that the boat's records call for now and the plan did not name.

    They come first wherever steps are shown, whatever their position.
    """
    steps = list(job.steps.all())
    last = max((step.position for step in steps), default=0)
    rows = [
        _caution_step(job, last + number, one)
        for number, one in enumerate(more_cautions(job, steps), start=1)
    ]
    WorkStep.objects.bulk_create(rows)


def _caution_step(job: Job, position: int, caution: Caution) -> WorkStep:
    head, dot, rest = caution.text.partition(": ")
    why = f"{caution.why.capitalize()}." if caution.why else ""
    return WorkStep(
        job=job,
        key=f"caution:{caution.code}",
        position=position,
        kind="caution",
        title=(head if dot else caution.text)[:200],
        detail=f"{rest[:1].upper()}{rest[1:]} {why}".strip(),
        caution=True,
    )


def schedule_job(
    *, job: Job, technician: User, day: date, by: User, start: time | None = None
) -> Job:
    """Put a job on a technician's day (from a time of day, where one is agreed), or move it.

    An overlapping or over-long day is no error: the board says it. FactRefused where the person
    is no technician of the shop.
    """
    _check_technician(job, technician)
    facts = {
        "technician": technician,
        "planned_on": day,
        "planned_from": start,
        "held_reason": "",
    }
    if job.state == State.SCHEDULED:
        return _move_day(job, facts, by)
    move_job(job=job, after=State.SCHEDULED, by=by, note=_day_words(technician, day), facts=facts)
    return job


@transaction.atomic
def _move_day(job: Job, facts: dict, by: User) -> Job:
    if not role_may(JOB_MOVES, State.READY, State.SCHEDULED, by.role):
        raise MoveRefused("Your role may not schedule jobs.", todo="Ask the desk.")
    fresh = Job.objects.select_for_update().get(pk=job.pk)
    if all(getattr(fresh, name) == value for name, value in facts.items()):
        return fresh
    move_job(job=fresh, after=State.READY, by=by, note="Moved to another day.")
    note = _day_words(facts["technician"], facts["planned_on"])
    move_job(job=fresh, after=State.SCHEDULED, by=by, note=note, facts=facts)
    return fresh


def _day_words(technician: User, day: date) -> str:
    return f"{technician}, {day.day} {day:%b %Y}."


def _check_technician(job: Job, technician: User) -> None:
    if technician.shop_id != job.shop_id or not may(technician, "jobs.work"):
        raise FactRefused(f"{technician} does not work on boats.", field="technician")


def hold_job(*, job: Job, reason: str, by: User) -> Move:
    """Hold a job; the reason stands on the board until it goes on. FactRefused without one."""
    words = reason.strip()
    if not words:
        raise FactRefused("Say why it is held: part, owner, weather, lift …", field="reason")
    return move_job(
        job=job, after=State.HELD, by=by, note=words, facts={"held_reason": words[:200]}
    )


@transaction.atomic
def cancel_job(*, job: Job, reason: str, by: User) -> Move:
    """Cancel a job with its reason: what was reserved for it lies free again."""
    words = reason.strip()
    if not words:
        raise FactRefused("Say why it is cancelled.", field="reason")
    move = move_job(job=job, after=State.CANCELLED, by=by, note=words)
    release_lists(job=job, by=by)
    return move


MOVERS: dict[str, Callable[..., Move]] = {
    State.HELD: hold_job,
    State.CANCELLED: cancel_job,
    State.HANDED_OVER: hand_over_job,
    State.BILLED: bill_job,
}
