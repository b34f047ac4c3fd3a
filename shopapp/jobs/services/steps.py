"""Answers to the steps of a job, as they are given at the boat."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.catalog.models import EquipmentModel
from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.jobs.models import Job, WorkStep
from shopapp.jobs.services.scheduling import may_let_in, may_work
from shopapp.jobs.services.serials import check_serial

State = WorkStep.State
ANSWERS = frozenset({State.DONE, State.COULD_NOT, State.SKIPPED})


@dataclass(frozen=True)
class Answer:
    """What was done at a step; `seen` is when it was answered before, as the page had it."""

    state: str
    reading: Decimal | None = None
    found: str = ""
    note: str = ""
    seen: datetime | None = None


@transaction.atomic
def answer_step(
    *,
    step: WorkStep,
    by: User,
    answer: Answer,
    at: datetime | None = None,
    cautions: Collection[str] | None = None,
    let_in: User | None = None,
) -> WorkStep:
    """Write an answer once, with name and time; the same answer again changes nothing.

    `at` is when it was given, for an answer that comes later than it was made (None: now), and
    `cautions` the keys of those that were known then (None: all): one that was laid down since
    stands open until it is ticked, but takes no work back that was done before. `let_in` is who
    takes the answer into the job where its author works it no more (None: nobody does).

    FactRefused beside its field (`reading`, `found`, `note`) where something is missing or
    cannot be right; MoveRefused where the job is not being worked on or cautions are open;
    StaleRecord where somebody else answered the step first: theirs stays.
    """
    _check_job(step.job, by, let_in)
    words = _checked(step, answer)
    _check_cautions(step, cautions)
    facts = {
        "state": answer.state,
        "reading": answer.reading,
        "found": words,
        "note": answer.note.strip(),
        "done_by": by,
        "done_at": at or timezone.now(),
    }
    rows = WorkStep.objects.filter(pk=step.pk, done_at=answer.seen)
    if rows.update(**facts) != 1:
        return _second(step, by, facts)
    step.refresh_from_db()
    return step


@transaction.atomic
def complete_answer(
    *, step: WorkStep, by: User, answer: Answer, let_in: User | None = None
) -> WorkStep:
    """Add to an answer that stands: what was said beside it. Who answered first, and when, stays.

    For entries merged field by field: the caller holds the step's row. Errors as above.
    """
    _check_job(step.job, by, let_in)
    found = _checked(step, answer)
    facts = {"reading": answer.reading, "found": found, "note": answer.note.strip()}
    WorkStep.objects.filter(pk=step.pk).update(**facts)
    step.refresh_from_db()
    return step


@transaction.atomic
def note_on_step(*, step: WorkStep, by: User, note: str, let_in: User | None = None) -> WorkStep:
    """A note on a step that is not answered yet."""
    _check_job(step.job, by, let_in)
    WorkStep.objects.filter(pk=step.pk).update(note=note.strip())
    step.refresh_from_db()
    return step


@transaction.atomic
def take_back(
    *, step: WorkStep, by: User, seen: datetime | None, let_in: User | None = None
) -> WorkStep:
    """Open an answered step again, for an answer given by mistake. StaleRecord as above."""
    _check_job(step.job, by, let_in)
    blank = {"state": State.TODO, "reading": None, "found": "", "note": ""}
    rows = WorkStep.objects.filter(pk=step.pk, done_at=seen)
    changed = rows.update(**blank, done_by=None, done_at=None)
    step.refresh_from_db()
    if changed != 1 and step.state != State.TODO:
        raise _stale(step)
    return step


def _second(step: WorkStep, by: User, facts: dict) -> WorkStep:
    step.refresh_from_db()
    same = ("state", "reading", "found", "note")
    if step.done_by_id == by.pk and all(getattr(step, name) == facts[name] for name in same):
        return step  # the same press, sent twice
    raise _stale(step)


def _stale(step: WorkStep) -> StaleRecord:
    who = step.done_by or "Somebody"
    return StaleRecord(
        f"{who} changed this step first: “{step.get_state_display()}”.",
        todo="Theirs stands. If yours is right, take it back and answer again.",
    )


def _check_job(job: Job, by: User, let_in: User | None = None) -> None:
    if not (may_work(job=job, user=by) or (let_in and may_let_in(job=job, user=let_in))):
        raise MoveRefused(
            f"{job} is {job.technician or 'nobody'}'s job.", todo="Ask the desk to give it to you."
        )
    if job.state != Job.State.ON_JOB:
        raise MoveRefused(
            f"{job} is “{job.get_state_display()}”.", todo="Start the job, then answer its steps."
        )


def _check_cautions(step: WorkStep, known: Collection[str] | None) -> None:
    if step.caution:
        return
    open_ones = WorkStep.objects.filter(job=step.job_id, caution=True, state=State.TODO)
    if known is not None:
        open_ones = open_ones.filter(key__in=known)
    titles = list(open_ones.values_list("title", flat=True))
    if titles:
        raise MoveRefused(
            f"First tick each caution. Open: {'; '.join(titles)}.",
            todo="Tick them at the top of the page, or skip one with a reason.",
        )


def _checked(step: WorkStep, answer: Answer) -> str:
    """The serial or release as it is kept; FactRefused where the answer cannot stand."""
    if answer.state not in ANSWERS:
        raise FactRefused("Say “did it” or “could not”.", field="state")
    if answer.state != State.DONE:
        if not answer.note.strip():
            raise FactRefused("Say why it was not done.", field="note")
        return ""
    found = " ".join(answer.found.split())
    if step.asks == WorkStep.Asks.READING and answer.reading is None and not answer.note.strip():
        raise FactRefused("Write the reading, or in the note why there is none.", field="reading")
    if step.asks == WorkStep.Asks.SERIAL:
        return _serial(step, found, answer)
    if step.asks == WorkStep.Asks.RELEASE:
        return _release(step, found)
    return found[:80]


def _serial(step: WorkStep, found: str, answer: Answer) -> str:
    if not found and not answer.note.strip():
        raise FactRefused(
            "Write the serial number, or in the note why it cannot be read.", field="found"
        )
    if len(found) > 60:
        raise FactRefused("A serial number has at most 60 characters.", field="found")
    model = model_of(step)
    check_serial(step=step, part=model.part if model else None, found=found)
    return found


def _release(step: WorkStep, found: str) -> str:
    known = releases_for(step)
    name = {one.casefold(): one for one in known}.get(found.casefold())
    if name is None:
        model = model_of(step)
        heard = f"“{found}” is no release that {model} ever had." if found else "Say which release."
        raise FactRefused(heard, field="found", todo=f"Known are: {', '.join(known)}.")
    return name


def model_of(step: WorkStep) -> EquipmentModel | None:
    """The model that the step's unit is at the end, None for a step without a unit."""
    code = next(
        (row["model"] for row in step.job.plan.get("units", []) if row["unit"] == step.unit_key),
        None,
    )
    rows = EquipmentModel.objects.filter(shop=step.job.shop_id, code=code).select_related("part")
    return rows.first() if code else None


def releases_for(step: WorkStep) -> list[str]:
    """The releases that the step's model ever had, oldest first."""
    model = model_of(step)
    return list(model.releases.values_list("name", flat=True)) if model else []
