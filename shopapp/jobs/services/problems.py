"""Problems seen on jobs: noted with what is known, solved with their cause."""

from dataclasses import dataclass

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.boats.models import Boat, Unit
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
    network = network_of(job.boat)
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
        switch=network.switch,
        shape=network.shape,
        networked_units=network.units,
        symptom=seen.symptom,
        words=words,
        cause=seen.cause.strip(),
        minutes_lost=seen.minutes_lost,
        photo=photo,
        noted_by=by,
    )


@dataclass(frozen=True)
class Network:
    """The boat's network as the record has it: its shape, its switch if all are of one model."""

    shape: str
    switch: EquipmentModel | None
    units: int | None


def network_of(boat: Boat) -> Network:
    """What the boat's network looks like now; one query."""
    rows = boat.units.aboard().filter(networked=True).select_related("model").order_by("pk")
    units = list(rows)
    switches = [unit.model for unit in units if unit.model.kind == "switch"]
    if len(units) < 2:
        return Network(Problem.Shape.ALONE if units else Problem.Shape.UNKNOWN, None, len(units))
    shapes = (Problem.Shape.DIRECT, Problem.Shape.ONE_SWITCH, Problem.Shape.CHAIN)
    same = len({model.pk for model in switches}) == 1
    return Network(
        shapes[min(len(switches), 2)], switches[0] if same else None, len(units) - len(switches)
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


@dataclass(frozen=True)
class Outcome:
    """How a problem ended: its proven cause, the cure, who paid, what it cost."""

    cause: str
    cure: str = ""
    paid_by: str = ""
    lost_cents: int = 0
    claimed_cents: int = 0
    recovered_cents: int = 0


@transaction.atomic
def solve_problem(*, problem: Problem, outcome: Outcome) -> Problem:
    """Mark a problem as solved, with its proven cause. MoveRefused where it is solved already."""
    if not outcome.cause.strip():
        raise FactRefused("Say what the cause was, or that none was found.", field="cause")
    fresh = Problem.objects.select_for_update().get(pk=problem.pk)
    if fresh.solved_at is not None:
        raise MoveRefused(f"This problem was solved already: {fresh.cause}.")
    fresh.solved_at = timezone.now()
    return _keep(fresh, outcome)


@transaction.atomic
def settle_problem(*, problem: Problem, outcome: Outcome) -> Problem:
    """Put right how a solved problem ended, as when a claim is paid. MoveRefused while open."""
    fresh = Problem.objects.select_for_update().get(pk=problem.pk)
    if fresh.solved_at is None:
        raise MoveRefused("This problem is open.", todo="Mark it solved first.")
    if not outcome.cause.strip():
        raise FactRefused("Say what the cause was, or that none was found.", field="cause")
    return _keep(fresh, outcome)


def _keep(fresh: Problem, outcome: Outcome) -> Problem:
    if outcome.recovered_cents > outcome.claimed_cents:
        raise FactRefused(
            "No more can come back than was claimed.",
            field="recovered_cents",
            todo="Write the whole claim first.",
        )
    fresh.cause, fresh.cure = outcome.cause.strip()[:200], outcome.cure.strip()[:200]
    fresh.paid_by, fresh.lost_cents = outcome.paid_by, outcome.lost_cents
    fresh.claimed_cents, fresh.recovered_cents = outcome.claimed_cents, outcome.recovered_cents
    fresh.save()
    return fresh


def open_again(*, problem: Problem) -> Problem:
    """A problem that came back is open again; its cause stays on record in the history."""
    problem.solved_at = None
    problem.save()
    return problem
