"""Bring a job's steps, parts and papers to a change that was agreed.

What was answered stays answered; what is picked stays picked; what is fitted is aboard.
"""

from collections import Counter

from django.db.models import F

from planner.orders import links_of
from shopapp.accounts.models import User
from shopapp.boats.services.evidence import lock_boat
from shopapp.catalog.models import Part
from shopapp.jobs.models import ChangeOrder, Document, Job, PickLine, PickList, WorkStep
from shopapp.jobs.services.as_built import AsBuilt
from shopapp.jobs.services.checks import judge_job
from shopapp.jobs.services.differences import used_parts
from shopapp.jobs.services.lines import shelf_of
from shopapp.jobs.services.opening import pick_lines, short_key, work_steps
from shopapp.jobs.services.papers import OF_JOB, request_document
from shopapp.jobs.services.picking import is_whole, reopen
from shopapp.jobs.services.releasing import lessen_line, unsettled_lists

FAR = 10_000
CONTENT = (
    "kind", "title", "detail", "caution", "unit_key", "minutes", "asks", "expect_label",
    "expect_unit", "expect_low", "expect_high", "expect_text", "position", "revision",
)  # fmt: skip
PAPERS = (
    Document.DocumentKind.WORK_ORDER,
    Document.DocumentKind.PICK_LIST,
    Document.DocumentKind.CHANGE_ORDER,
)


def revise_job(*, job: Job, change: ChangeOrder, by: User | None) -> None:
    """Inside the caller's transaction: plan, ports, steps, pick list, then the papers anew.

    A change without a plan of its own leaves steps and parts alone.
    """
    steps = list(job.steps.filter(revision=job.revision).select_related("done_by"))
    if change.plan:
        writer = by or change.made_by
        lock_boat(job.boat)
        AsBuilt(job, steps, writer).write()
        more = used_parts(job, steps)
        more.update(change.plan["parts"])
        more.subtract(job.plan.get("parts", {}))
        _take_plan(job, change)
        _merge_steps(job, steps, change)
        _revise_parts(job, more)
    Job.objects.filter(pk=job.pk).update(
        minutes_planned=max(0, job.minutes_planned + change.minutes), version=F("version") + 1
    )
    for kind in PAPERS:
        if kind in OF_JOB:
            request_document(kind=kind, by=by, job=job)


def _take_plan(job: Job, change: ChangeOrder) -> None:
    job.case, job.plan = change.run.case, change.plan
    job.ports = links_of(case=job.case, plan=job.plan)
    job.revision += 1
    facts = {name: getattr(job, name) for name in ("case", "plan", "ports", "revision")}
    Job.objects.filter(pk=job.pk).update(**facts)
    judge_job(job=job)


def _merge_steps(job: Job, old: list[WorkStep], change: ChangeOrder) -> None:
    """Answered steps are kept; open ones become those of the new plan, under their own rows."""
    job.steps.update(position=F("position") + FAR)
    known = {step.key: step for step in old}
    kept: list[WorkStep] = []
    fresh = work_steps(job)
    last = _settle_history(job, old, change, {step.key for step in fresh})
    for number, step in enumerate(fresh, start=last + 1):
        step.position, step.revision = number, job.revision
        before = known.get(step.key)
        if before is not None and _goes_on(before, change):
            step.pk = before.pk
            kept.append(step)
    WorkStep.objects.bulk_update(kept, CONTENT)
    WorkStep.objects.bulk_create([step for step in fresh if step.pk is None])


def _goes_on(step: WorkStep, change: ChangeOrder) -> bool:
    """Whether the row lives on under the new plan with its answer, if any.

    Cautions ticked stay ticked; what was answered after the new plan was made is no news to it.
    """
    if step.state == WorkStep.State.TODO or step.caution:
        return True
    return step.done_at > change.planned_at


def _settle_history(job: Job, old: list[WorkStep], change: ChangeOrder, wanted: set[str]) -> int:
    """Put what was done under the old plan first, open steps of no use away; the last position."""
    away = [
        step.pk
        for step in old
        if step.state == "todo" and not step.caution and step.key not in wanted
    ]
    mine = {step.pk for step in old}
    job.steps.filter(pk__in=away).delete()
    past = [
        step
        for step in job.steps.order_by("position")
        if not (step.pk in mine and step.key in wanted and _goes_on(step, change))
    ]
    for number, step in enumerate(past, start=1):
        step.position = number
        if step.pk in mine and not step.caution:
            step.key = short_key(f"r{step.revision}:{step.key}")
    WorkStep.objects.bulk_update(past, ["position", "key"])
    return len(past)


def _revise_parts(job: Job, more: Counter[str]) -> None:
    """The pick list follows: more is reserved or short, less is given back, picked stays.

    `more` is the signed difference by the case's names of the parts.
    """
    pick_list = unsettled_lists(job).first()
    if pick_list is None:
        return
    pick_list.job = job
    shelf = shelf_of(shop=job.shop, keys=set(more))
    parts = {key: shelf.part(key) for key in more}
    lines = list(pick_list.lines.filter(spare=False).select_related("part", "stock"))
    # Rows are locked in the order of the parts, so that two jobs never wait for each other.
    for key in sorted((key for key in more if parts[key]), key=lambda key: parts[key].pk):
        mine = [line for line in lines if line.part_id == parts[key].pk]
        _revise_part(pick_list, parts[key], mine, more[key])
    if pick_list.state != PickList.State.OPEN and not is_whole(list(pick_list.lines.all())):
        reopen(pick_list)


def _revise_part(pick_list: PickList, part: Part, lines: list[PickLine], more: int) -> None:
    if more > 0:
        last = pick_list.lines.order_by("-position").values_list("position", flat=True).first() or 0
        rows = pick_lines(pick_list, part, more, spare=False, note="by a change order")
        for number, row in enumerate(rows, start=last + 1):
            row.position = number
        PickLine.objects.bulk_create(rows)
        return
    too_many = -more
    # Short pieces go first, then what is only reserved; what is picked comes back by hand.
    for line in sorted(lines, key=lambda row: (row.reserved > 0, row.picked > 0)):
        too_many -= lessen_line(line=line, count=too_many, ref=pick_list.job.number)
    line = next((row for row in lines if row.picked), None)
    if too_many > 0 and line is not None:
        PickLine.objects.filter(pk=line.pk).update(note=f"{too_many} no longer needed: bring back")
