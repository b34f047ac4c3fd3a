"""Tags for the units that a job takes out: whose it is, what it is, what the owner wishes."""

from typing import Any

from shopapp.boats.models import Unit
from shopapp.jobs.documents.common import Facts, boat_facts, day_words, local_day, shop_facts
from shopapp.jobs.models import Job, QuoteLine, WorkStep

OUT = ("removed", "replaced")
# What may become of a unit that comes out (common practice, no source).
WISHES = (
    "Give it back to the owner",
    "Trade it in",
    "Keep it here until asked for",
    "Dispose of it",
)


def removed_job_for_paper(pk: int) -> Job:
    """The job with what its tags show; five queries whatever its size."""
    rows = Job.objects.select_related("shop", "boat", "customer", "option")
    return rows.prefetch_related(
        "steps__done_by", "boat__units__model__family__maker", "option__lines"
    ).get(pk=pk)


def removed_facts(job: Job) -> Facts:
    """A tag for each unit that the plan takes out or replaces."""
    steps = {step.unit_key: step for step in job.steps.all() if step.kind == "remove"}
    return {
        "shop": shop_facts(job.shop),
        "number": job.number,
        "title": job.title,
        "boat": boat_facts(job.boat),
        "customer": job.customer.name,
        "tags": [
            _tag(job, row["unit"], steps.get(row["unit"]))
            for row in job.plan.get("units", [])
            if row["fate"] in OUT
        ],
        "traded": _traded(job),
        "wishes": WISHES,
    }


def _tag(job: Job, name: str, step: WorkStep | None) -> Facts:
    unit = _old_unit(job, name)
    taken = step is not None and step.state == WorkStep.State.DONE
    return {
        "unit": name,
        "model": str(unit.model) if unit else _model_of_plan(job, name),
        "serial": unit.serial if unit else "",
        "taken_on": day_words(local_day(step.done_at, job.shop)) if taken else "",
        "taken_by": str(step.done_by) if taken and step.done_by else "",
        "note": step.note if step else "",
    }


def _old_unit(job: Job, name: str) -> Unit | None:
    """The unit that leaves: the new one of the same name was fitted under this job."""
    rows = [unit for unit in job.boat.units.all() if unit.name == name]
    rows = [unit for unit in rows if unit.fitted_under != job.number]
    return max(rows, key=lambda unit: unit.pk, default=None)


def _model_of_plan(job: Job, name: str) -> str:
    devices: list[dict[str, Any]] = job.case.get("boat", {}).get("devices", [])
    code = next((row["model"] for row in devices if row["id"] == name), "")
    return job.case.get("show", {}).get("models", {}).get(code, {}).get("name", code)


def _traded(job: Job) -> list[str]:
    """The credits that were sold with the job: among them what is traded in."""
    lines = job.option.lines.all() if job.option else []
    return [line.description for line in lines if line.kind == QuoteLine.LineKind.CREDIT]
