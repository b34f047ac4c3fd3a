"""The steps of a job as a tablet shows them: tool, parts, what is expected, what to do else."""

from decimal import Decimal
from types import SimpleNamespace
from typing import Any

from shopapp.jobs.expectations import next_check, plain, range_words
from shopapp.jobs.models import Job, PickLine, WorkStep
from shopapp.tablet.services.standing import step_values

JsonDict = dict[str, Any]
# Common practice, no source.
TOOLS = {
    "remove": ["screwdrivers", "camera: a photo of the ports before"],
    "fit": ["drill and hole saw or cut-out template", "screwdrivers", "sealant"],
    "cable": ["pull string", "cable labels", "side cutter and ties"],
    "fuse": ["fuse puller", "spare fuses of the value"],
    "update": ["memory card or what the update asks for", "charger or shore supply"],
    "backup": ["memory card"],
    "label": ["label printer or flags"],
}
BY_UNIT = {"V": "multimeter, DC volts", "Ω": "multimeter, ohms; power off", "A": "clamp meter"}
KINDS_OF_PART = {
    "cable": {"cable"},
    "fuse": {"fuse"},
    "label": {"small"},
}


def step_rows(job: Job, steps: list[WorkStep], lines: list[PickLine], releases: dict) -> list:
    """Each step as data, cautions first."""
    models = {row["unit"]: row["model"] for row in job.plan.get("units", [])}
    return [
        {
            "key": step.key,
            "id": step.pk,
            "kind": step.kind,
            "title": step.title,
            "detail": step.detail,
            "caution": step.caution,
            "unit": step.unit_key,
            "minutes": step.minutes,
            "asks": step.asks,
            "tools": tools_for(step),
            "parts": parts_for(step, lines, models),
            "releases": releases.get(models.get(step.unit_key, ""), []),
            "expect": expect_of(step),
            "values": step_values(step),
            "by": str(step.done_by or ""),
            "at": step.done_at.isoformat() if step.done_at else "",
        }
        for step in steps
    ]


def tools_for(step: WorkStep) -> list[str]:
    """The tools that a step calls for; empty where none is laid down."""
    by_unit = BY_UNIT.get(step.expect_unit)
    return ([by_unit] if by_unit else []) + TOOLS.get(step.kind, [])


def parts_for(step: WorkStep, lines: list[PickLine], models: dict[str, str]) -> list[str]:
    """What of the tote a step uses: the unit itself, or parts of the kind that its words name."""
    if step.kind == "fit":
        code = models.get(step.unit_key)
        found = [
            line for line in lines if getattr(getattr(line.part, "model", None), "code", "") == code
        ]
    else:
        kinds = KINDS_OF_PART.get(step.kind, set())
        words = f"{step.title} {step.detail}"
        found = [
            line
            for line in lines
            if line.part.kind in kinds
            and not line.spare
            and (line.part.number in words or line.part.name in words)
        ]
    return [f"{line.part.name} ({line.part.number})" for line in found]


def expect_of(step: WorkStep) -> JsonDict:
    """What is expected, with the next thing to look at on either side of it."""
    if not (step.expect_text or step.expect_unit or step.expect_label):
        return {}
    return {
        "label": step.expect_label,
        "unit": step.expect_unit,
        "low": plain(step.expect_low),
        "high": plain(step.expect_high),
        "text": step.expect_text,
        "range": range_words(step),
        "next": _next_checks(step),
    }


def _next_checks(step: WorkStep) -> list[JsonDict]:
    """Readings out of range, from where to where, and what to look at then."""
    found = []
    for figure in _outside(step):
        facts = {"kind": step.kind, "expect_unit": step.expect_unit, "reading": figure}
        bounds = {"expect_low": step.expect_low, "expect_high": step.expect_high}
        text = next_check(SimpleNamespace(**facts, **bounds))
        found.append({"from": plain(figure), "text": text})
    return found


def _outside(step: WorkStep) -> list[Decimal]:
    """A figure in each band that has words of its own, lowest first."""
    marks = [Decimal(0), Decimal(5), Decimal(50), Decimal(200)] if step.expect_unit == "Ω" else []
    low, high = step.expect_low, step.expect_high
    if low is not None:
        marks += [Decimal(0), low - Decimal("0.001")]
    if high is not None:
        marks.append(high + Decimal("0.001"))
    return sorted({one for one in marks if _is_out(one, low, high)})


def _is_out(one: Decimal, low: Decimal | None, high: Decimal | None) -> bool:
    return (low is not None and one < low) or (high is not None and one > high)
