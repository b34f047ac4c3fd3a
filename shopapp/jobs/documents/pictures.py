"""The before-and-after drawings of a paper, as inline SVG."""

from planner.picture import plan_picture
from shopapp.jobs.models import Document, Job, Quote, Survey

WIDTH_PX = 1120
WITHOUT_PICTURE = {Document.DocumentKind.PICK_LIST, Document.DocumentKind.SURVEY}


def plan_pictures(kind: str, subject: Job | Quote | Survey) -> dict[int, str]:
    """A job's drawing under its own pk, a quote's under each offered option's pk.

    None for a pick list or a survey sheet, and none where no plan was kept.
    """
    if kind in WITHOUT_PICTURE:
        return {}
    if isinstance(subject, Job):
        plans = {subject.pk: (subject.case, subject.plan)}
    else:
        offered = [option for option in subject.options.all() if option.offered]
        plans = {option.pk: (subject.run.case, option.plan) for option in offered}
    return {
        pk: plan_picture(
            case=case, plan=plan, boat=subject.boat, key=f"{kind}-{pk}", width=WIDTH_PX
        )
        for pk, (case, plan) in plans.items()
        if plan
    }
