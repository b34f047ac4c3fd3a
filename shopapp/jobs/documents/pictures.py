"""The before-and-after drawings of a paper, as inline SVG."""

from planner.checks.shown import marks_of
from planner.picture import plan_picture
from shopapp.boats.aboard import load_aboard
from shopapp.boats.drawing import draw_boat
from shopapp.boats.picture import as_is
from shopapp.jobs.models import Document, Job, Quote, Survey

WIDTH_PX = 1120
WITHOUT = {
    Document.DocumentKind.PICK_LIST,
    Document.DocumentKind.SURVEY,
    Document.DocumentKind.LABELS,
    Document.DocumentKind.CHANGE_ORDER,
    Document.DocumentKind.RECORD,
    Document.DocumentKind.TOTE_LABEL,
    Document.DocumentKind.PURCHASE,
    Document.DocumentKind.REMOVED,
    Document.DocumentKind.WEEKLY,
}


def plan_pictures(kind: str, subject: Job | Quote | Survey) -> dict[int, str]:
    """A job's drawing under its own pk, a quote's under each offered option's pk.

    The handover pack shows the boat as recorded now. None for lists and labels, and none where no
    plan was kept.
    """
    if kind in WITHOUT:
        return {}
    if kind == Document.DocumentKind.HANDOVER:
        return as_recorded(subject)
    if isinstance(subject, Job):
        plans = {subject.pk: (subject.case, subject.plan, subject.checks)}
    else:
        offered = [option for option in subject.options.all() if option.offered]
        case = subject.run.case
        plans = {option.pk: (case, option.plan, option.checks) for option in offered}
    return {
        pk: plan_picture(
            case=case,
            plan=plan,
            boat=subject.boat,
            key=f"{kind}-{pk}",
            width=WIDTH_PX,
            marks=marks_of(checks),
        )
        for pk, (case, plan, checks) in plans.items()
        if plan
    }


def as_recorded(job: Job) -> dict[int, str]:
    """The boat with what is aboard now; none where no place is on record."""
    sheet = as_is(load_aboard(job.boat))
    if not sheet.places:
        return {}
    return {job.pk: draw_boat(sheet, key=f"handover-{job.pk}", width=WIDTH_PX)}
