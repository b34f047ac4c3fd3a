"""The commissioning record and the handover pack: what was done, what was read, what was left."""

from calendar import monthrange
from datetime import date, datetime
from zoneinfo import ZoneInfo

from shopapp.boats.models import Unit
from shopapp.jobs.documents.common import (
    Facts,
    boat_facts,
    customer_facts,
    day_words,
    local_day,
    shop_facts,
)
from shopapp.jobs.documents.map_sheet import port_map_facts
from shopapp.jobs.documents.punch import HANDOVER, punch_list
from shopapp.jobs.documents.readings import expected_words
from shopapp.jobs.models import Job, WorkStep

# Common practice, no source: what is tried under way, and what a skipper must know.
SEA_TRIAL = (
    "Depth holds bottom at idle",
    "Depth holds bottom at about 10 knots",
    "Depth holds bottom at cruise",
    "Depth against the lead line: within 1 ft (0.3 m)",
    "Heading swing, loads on and off: within 3°",
    "Radar aligned to a fixed mark",
    "Radio check",
    "All stations show all units",
    "Engine started with everything on: nothing restarts",
)
LIMITS = (
    "The displays are aids to navigation: keep charts and a lookout, never rely on one source.",
    "Updates and settings were those of the day of handover; newer releases may behave otherwise.",
    "A fuse that blows is replaced by the same value only, once; if it blows again, call us.",
)
ISOLATE = (
    "Switch the electronics off at the cut-off named in the list below.",
    "Smoke, smell or heat: cut-off first, then battery switch, charger and shore power.",
    "A lithium bank is isolated as its maker says; do not open it.",
)
LEFT = (WorkStep.State.COULD_NOT, WorkStep.State.SKIPPED)


def finish_job_for_paper(pk: int) -> Job:
    """The job with what its record and pack show; ten queries whatever its size."""
    rows = Job.objects.select_related("shop", "boat", "customer", "technician", "quote")
    return rows.prefetch_related(
        "steps__done_by",
        "customer__phones",
        "boat__units__model__family__maker",
        "boat__units__release",
        "boat__units__location",
        "boat__units__bank",
        "problems",
    ).get(pk=pk)


def record_facts(job: Job) -> Facts:
    """The commissioning record: cautions, work, readings with who and when, ports, sea trial."""
    steps = list(job.steps.all())
    rows = [_step(step, job) for step in steps]
    facts = port_map_facts(job)
    return facts | {
        "technician": str(job.technician) if job.technician else "",
        "begun": _moment(job.started_at, job),
        "done": _moment(job.done_at, job),
        "cautions": [row for row in rows if row["caution"]],
        "readings": [row for row in rows if not row["caution"] and row["asks"] == "reading"],
        "work": [row for row in rows if not row["caution"] and row["asks"] != "reading"],
        "left": [row for row in rows if row["left"]],
        "problems": _problems(job),
        "punch": punch_list(facts["units"]),
        "sea_trial": SEA_TRIAL,
    }


def _step(step: WorkStep, job: Job) -> Facts:
    return {
        "title": step.title,
        "caution": step.caution,
        "asks": step.asks,
        "state": step.get_state_display(),
        "answered": step.state != WorkStep.State.TODO,
        "left": step.state in LEFT,
        "expect": expected_words(step),
        "figure": step.figure or step.found,
        "out": step.out_of_range,
        "note": step.note,
        "by": str(step.done_by) if step.done_by else "",
        "at": _moment(step.done_at, job),
    }


def _moment(value: datetime | None, job: Job) -> str:
    """Day and time where the shop is; "" where there is none."""
    if value is None:
        return ""
    local = value.astimezone(ZoneInfo(job.shop.time_zone))
    return f"{day_words(local.date())}, {local:%H:%M}"


def _problems(job: Job) -> list[Facts]:
    rows = sorted(job.problems.all(), key=lambda row: (row.noted_at, row.pk))
    return [
        {
            "symptom": row.get_symptom_display(),
            "words": row.words,
            "cause": row.cause,
            "solved": row.solved_at is not None,
        }
        for row in rows
    ]


def handover_facts(job: Job) -> Facts:
    """The handover pack: what is aboard, fuses, warranty, what was left, limits, whom to call."""
    units = [unit for unit in job.boat.units.all() if unit.state == Unit.State.FITTED]
    units.sort(key=lambda unit: (unit.location.name, unit.name))
    return {
        "shop": shop_facts(job.shop),
        "number": job.number,
        "title": job.title,
        "boat": boat_facts(job.boat),
        "owner": customer_facts(job.customer),
        "technician": str(job.technician) if job.technician else "",
        "done": day_words(local_day(job.done_at, job.shop)),
        "units": [_unit(unit, job) for unit in units],
        "left": [_step(step, job) for step in job.steps.all() if step.state in LEFT],
        "handover": HANDOVER,
        "limits": LIMITS,
        "isolate": ISOLATE,
        "handed_over_to": job.handed_over_to,
    }


def _unit(unit: Unit, job: Job) -> Facts:
    months = unit.model.warranty_months
    return {
        "name": unit.name,
        "model": str(unit.model),
        "place": unit.location.name,
        "serial": unit.serial,
        "release": unit.release.name if unit.release else "",
        "bank": unit.bank.name if unit.bank else "",
        "fuse_ma": unit.fuse_ma,
        "fuse_place": unit.fuse_place,
        "cutoff": unit.cutoff,
        "new": unit.fitted_under == job.number,
        "fitted_on": day_words(unit.fitted_on),
        "warranty_until": day_words(months_on(unit.fitted_on, months)),
    }


def months_on(day: date | None, months: int | None) -> date | None:
    """The day so many months later, at most the last of its month; None where either is missing."""
    if day is None or not months:
        return None
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    month += 1
    return date(year, month, min(day.day, monthrange(year, month)[1]))
