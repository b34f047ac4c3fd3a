"""Problems seen on jobs: noted with what is known, solved with their cause."""

from dataclasses import dataclass

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.boats.models import Unit
from shopapp.boats.services.photos import add_photo
from shopapp.catalog.models import EquipmentModel
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Job, Problem, WorkStep


@dataclass(frozen=True)
class Seen:
    """What was seen: the symptom, in words, on which unit, beside which other model."""

    symptom: str
    words: str
    unit: Unit | None = None
    counterpart: EquipmentModel | None = None
    minutes_lost: int = 0
    cause: str = ""
    upload: UploadedFile | None = None


@transaction.atomic
def note_problem(*, job: Job, seen: Seen, by: User, step: WorkStep | None = None) -> Problem:
    """Note a problem. Model and release are those that the unit has on record at this moment.

    FactRefused beside `unit`, `words` or `image` where something cannot be right.
    """
    words = seen.words.strip()
    if not words:
        raise FactRefused("Say what was seen, in your own words.", field="words")
    if seen.unit is not None and seen.unit.boat_id != job.boat_id:
        raise FactRefused(f"{seen.unit} is aboard another boat.", field="unit")
    if step is not None and step.job_id != job.pk:
        raise FactRefused("That step belongs to another job.", field="step")
    photo = None
    if seen.upload is not None:
        photo = add_photo(boat=job.boat, upload=seen.upload, by=by, caption=words[:120])
    return Problem.objects.create(
        shop_id=job.shop_id,
        job=job,
        boat_id=job.boat_id,
        step=step,
        unit=seen.unit,
        model=seen.unit.model if seen.unit else None,
        release=seen.unit.release if seen.unit else None,
        counterpart=seen.counterpart,
        symptom=seen.symptom,
        words=words,
        cause=seen.cause.strip(),
        minutes_lost=seen.minutes_lost,
        photo=photo,
        noted_by=by,
    )


@transaction.atomic
def solve_problem(*, problem: Problem, cause: str) -> Problem:
    """Mark a problem as solved, with its proven cause. MoveRefused where it is solved already."""
    words = cause.strip()
    if not words:
        raise FactRefused("Say what the cause was, or that none was found.", field="cause")
    fresh = Problem.objects.select_for_update().get(pk=problem.pk)
    if fresh.solved_at is not None:
        raise MoveRefused(f"This problem was solved already: {fresh.cause}.")
    fresh.cause, fresh.solved_at = words[:200], timezone.now()
    fresh.save()
    return fresh


def open_again(*, problem: Problem) -> Problem:
    """A problem that came back is open again; its cause stays on record in the history."""
    problem.solved_at = None
    problem.save()
    return problem
