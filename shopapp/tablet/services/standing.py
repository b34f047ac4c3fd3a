"""What stands of a target now, from the job's own rows first, and who wrote it."""

from collections.abc import Iterable

from django.db.models import Q

from shopapp.errors import FactRefused
from shopapp.jobs.expectations import plain
from shopapp.jobs.models import Job, WorkStep
from shopapp.tablet.fields import split_target
from shopapp.tablet.merging import Standing
from shopapp.tablet.models import BoatFact

OF_STEP = ("state", "reading", "found", "note")


def step_values(step: WorkStep) -> dict[str, str]:
    """A step's answer as fields of text; what is open is empty."""
    return {
        "state": "" if step.state == WorkStep.State.TODO else step.state,
        "reading": plain(step.reading),
        "found": step.found,
        "note": step.note,
    }


def step_of(job: Job, key: str, *, lock: bool = False) -> WorkStep:
    """The job's step of that key; FactRefused where the job no longer has it."""
    rows = WorkStep.objects.select_for_update() if lock else WorkStep.objects
    step = rows.filter(job=job, key=key).first()
    if step is None:
        raise FactRefused(
            f"{job} has no such step any more.",
            todo="The plan was changed at the desk: load the job again and look at its steps.",
        )
    step.job = job
    return step


def standing_of(job: Job, target: str, step: WorkStep | None) -> dict[str, Standing]:
    """Each field of the target as it stands; the step's own row counts before what was noted."""
    rows = BoatFact.objects.filter(job=job, target=target)
    found = {row.name: Standing(row.value, row.tablet_id, row.seq) for row in rows}
    if step is None:
        return found
    for name, value in step_values(step).items():
        known = found.get(name)
        if known is None or known.value != value:
            # Written at the desk since: no tablet's own.
            found[name] = Standing(value)
    return found


def values_of(job: Job, targets: Iterable[str]) -> dict[str, dict[str, str]]:
    """The fields of some targets as text, for a tablet; two queries."""
    wanted = set(targets)
    found: dict[str, dict[str, str]] = {target: {} for target in wanted}
    for row in BoatFact.objects.filter(job=job, target__in=wanted):
        found[row.target][row.name] = row.value
    keys = [split_target(one)[1] for one in wanted if one.startswith("step:")]
    for step in WorkStep.objects.filter(Q(key__in=keys), job=job):
        found[f"step:{step.key}"] |= step_values(step)
    return found
