"""Problems seen on jobs: noted with what is known, solved with their cause."""

from dataclasses import dataclass

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.boats.models import Unit
from shopapp.boats.services.photos import add_photo
from shopapp.catalog.models import EquipmentModel, Release
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Job, Problem, WorkStep


@dataclass(frozen=True)
class Seen:
    """What was seen: the symptom, in words, on which unit, beside which other model.

    `planned` names a new unit of the job's plan that is not on the boat's record yet.
    """

    symptom: str
    words: str
    unit: Unit | None = None
    planned: str = ""
    counterpart: EquipmentModel | None = None
    minutes_lost: int = 0
    cause: str = ""
    upload: UploadedFile | None = None


@transaction.atomic
def note_problem(*, job: Job, seen: Seen, by: User, step: WorkStep | None = None) -> Problem:
    """Note a problem. Model and release are those of the unit at this moment.

    FactRefused beside `unit`, `words` or `image` where something cannot be right.
    """
    words = seen.words.strip()
    if not words:
        raise FactRefused("Say what was seen, in your own words.", field="words")
    if seen.unit is not None and seen.unit.boat_id != job.boat_id:
        raise FactRefused(f"{seen.unit} is aboard another boat.", field="unit")
    if step is not None and step.job_id != job.pk:
        raise FactRefused("That step belongs to another job.", field="step")
    model, release = _what(job, seen)
    photo = None
    if seen.upload is not None:
        photo = add_photo(boat=job.boat, upload=seen.upload, by=by, caption=words[:120])
    return Problem.objects.create(
        shop_id=job.shop_id,
        job=job,
        boat_id=job.boat_id,
        step=step,
        unit=seen.unit,
        model=model,
        release=release,
        counterpart=seen.counterpart,
        symptom=seen.symptom,
        words=words,
        cause=seen.cause.strip(),
        minutes_lost=seen.minutes_lost,
        photo=photo,
        noted_by=by,
    )


def _what(job: Job, seen: Seen) -> tuple[EquipmentModel | None, Release | None]:
    """Model and release of the unit now: a release found on this job counts before the record."""
    model = seen.unit.model if seen.unit else _planned_model(job, seen.planned)
    if model is None:
        return None, None
    name = seen.unit.name if seen.unit else seen.planned
    read = job.steps.filter(kind="update", unit_key=name, state=WorkStep.State.DONE).last()
    if read is not None and read.found:
        return model, model.releases.filter(name=read.found).first()
    return model, seen.unit.release if seen.unit else None


def _planned_model(job: Job, name: str) -> EquipmentModel | None:
    rows = {row["unit"]: row["model"] for row in job.plan.get("units", [])}
    if not name:
        return None
    if name not in rows:
        raise FactRefused(f"The plan has no unit {name}.", field="unit")
    return EquipmentModel.objects.filter(shop=job.shop_id, code=rows[name]).first()


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
