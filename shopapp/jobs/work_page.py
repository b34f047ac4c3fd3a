"""All that the technician's page of a job shows."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from planner.checks.shown import groups_of
from shopapp.accounts.models import User
from shopapp.boats.models import Evidence
from shopapp.boats.services.ends import end_words
from shopapp.boats.services.evidence import label_of
from shopapp.catalog.models import Release
from shopapp.jobs import job_queries
from shopapp.jobs.expectations import next_check, range_words, verdict_of
from shopapp.jobs.forms.work import StepForm
from shopapp.jobs.models import Job, WorkStep
from shopapp.jobs.services.quotes import today_of
from shopapp.jobs.services.risk import undecided_on
from shopapp.jobs.services.scheduling import may_work
from shopapp.roles import may
from shopapp.ui.templatetags.ui import amps

HELD_FOR = ("Part missing", "Owner not there", "Weather or tide", "Lift", "Safety", "Approval")


@dataclass
class StepCard:
    """A step as it is shown: its form, the words of its reading, the releases known."""

    step: WorkStep
    form: StepForm
    releases: list[str]
    now: bool = False

    @property
    def verdict(self) -> str:
        """The reading in words."""
        return verdict_of(self.step)

    @property
    def expected(self) -> str:
        """What is expected, in words, with its figures."""
        text, figures = self.step.expect_text, range_words(self.step)
        return ", ".join(filter(None, [text, figures if figures not in text else ""]))

    @property
    def next_check(self) -> str:
        """What to look at next, where the reading is out of range."""
        return next_check(self.step) if self.step.out_of_range else ""


def jobs_for_work() -> QuerySet[Job]:
    """Jobs with what the technician's page shows of them."""
    rows = Job.objects.select_related(
        "shop", "boat", "customer", "technician", "quote", "option", "comeback_of"
    )
    return rows.prefetch_related("customer__phones", "customer__approvers")


def work_facts(
    job: Job, user: User, *, asked: StepForm | None = None, step_pk: int = 0
) -> dict[str, Any]:
    """The facts of the steps' part: cards of cautions and steps, and where one stands.

    `asked` is a form that was refused, kept with what was typed; `step_pk` its step.
    """
    steps = list(job.steps.select_related("done_by"))
    releases = _releases(job, steps)
    cards = [
        StepCard(
            step,
            asked if asked is not None and step.pk == step_pk else StepForm(step=step),
            releases.get(step.unit_key, []),
        )
        for step in steps
    ]
    cautions = [card for card in cards if card.step.caution]
    work = [card for card in cards if not card.step.caution]
    cautioned = all(card.step.state != "todo" for card in cautions)
    can_work = may_work(job=job, user=user)
    if cautioned:
        _mark_next(work)
    return {
        "job": job,
        "cautions": cautions,
        "work": work,
        "cautioned": cautioned,
        "open_cautions": sum(1 for card in cautions if card.step.state == "todo"),
        "answered": sum(1 for step in steps if step.state != "todo"),
        "total": len(steps),
        "can_work": can_work,
        "may_answer": can_work and job.state == Job.State.ON_JOB,
    }


def _mark_next(cards: list[StepCard]) -> None:
    for card in cards:
        if card.step.state == WorkStep.State.TODO:
            card.now = True
            return


def _releases(job: Job, steps: list[WorkStep]) -> dict[str, list[str]]:
    """The releases of each unit that a step asks the release of; one query."""
    asked = {step.unit_key for step in steps if step.asks == WorkStep.Asks.RELEASE}
    codes = {row["unit"]: row["model"] for row in job.plan.get("units", []) if row["unit"] in asked}
    if not codes:
        return {}
    known: dict[str, list[str]] = {}
    rows = Release.objects.filter(model__shop=job.shop_id, model__code__in=set(codes.values()))
    for code, name in rows.order_by("model", "rank").values_list("model__code", "name"):
        known.setdefault(code, []).append(name)
    return {unit: known.get(code, []) for unit, code in codes.items()}


def page_facts(job: Job, user: User, **asked: Any) -> dict[str, Any]:
    """The facts of the whole page."""
    pick_list, lines = job_queries.pick_lines_of(job)
    return work_facts(job, user, **asked) | {
        "sees_phone": sees_phone(job, user),
        "drawing": job_queries.drawing_of(job, key="work", width=780),
        "check_groups": groups_of(job.checks),
        "ports": job_queries.port_rows(job),
        "pick_list": pick_list,
        "lines": lines,
        "problems": job.problems.select_related("model", "counterpart", "noted_by"),
        "undecided": undecided_on(job),
        "reasons": HELD_FOR,
    }


def sees_phone(job: Job, user: User) -> bool:
    """A customer's number is shown for the day's jobs and for one's own; the desk sees all."""
    own = job.technician_id == user.pk or job.planned_on == today_of(job.shop)
    return own or may(user, "customers.see")


def written_rows(rows: Iterable[Evidence]) -> list[dict[str, Any]]:
    """What closing wrote, in words: the thing, the fact, its value, and the evidence."""
    return [
        {
            "what": str(row.unit or (f"cable {row.cable}" if row.cable else row.boat)),
            "model": row.unit.model.name if row.unit else "",
            "fact": label_of(row),
            "value": _value_words(row),
            "evidence": row,
        }
        for row in rows
    ]


def _value_words(row: Evidence) -> str:
    if row.fact in {"end_a", "end_b"}:
        return end_words(row.value)
    if row.fact == "fuse_ma" and row.value.isdigit():
        return amps(int(row.value))
    return row.value or "not known"
