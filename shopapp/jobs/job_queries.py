"""What the jobs' pages read, in a fixed number of queries."""

from datetime import date
from typing import Any

from django.db.models import Q, QuerySet

from planner.checks.shown import marks_of
from planner.picture import plan_picture, plan_rows
from shopapp.accounts.models import Shop, User
from shopapp.jobs.models import Job, PickLine, PickList, WorkStep

UNFINISHED = ("opened", "waiting", "ready", "scheduled", "on_job", "held", "done", "checked")
WITHOUT_PLAN = ("case", "plan", "ports", "checks")


def jobs_found(shop: Shop, asked: dict[str, str]) -> QuerySet[Job]:
    """Jobs by words (`q`: number, boat, title), `state` ("open" is all unfinished), `who`."""
    rows = (
        Job.objects.of(shop).defer(*WITHOUT_PLAN).select_related("boat", "customer", "technician")
    )
    for word in asked.get("q", "").split()[:8]:
        boat = Q(boat__search__contains=word.lower())
        rows = rows.filter(Q(number__icontains=word) | boat | Q(title__icontains=word))
    state = asked.get("state", "")
    if state == "open":
        rows = rows.filter(state__in=UNFINISHED)
    elif state in Job.State.values:
        rows = rows.filter(state=state)
    if asked.get("who", "").isdigit():
        rows = rows.filter(technician=int(asked["who"]))
    return rows


def job_for_page(shop_rows: QuerySet[Job]) -> QuerySet[Job]:
    """A job with what its page shows."""
    return shop_rows.select_related(
        "shop",
        "boat",
        "customer",
        "technician",
        "quote",
        "option",
        "comeback_of",
        "risk_taken_by",
    )


def pick_lines_of(job: Job) -> tuple[PickList | None, list[PickLine]]:
    """The pick list that counts and its lines; two queries."""
    pick_list = job.pick_lists.exclude(state=PickList.State.CANCELLED).first()
    if pick_list is None:
        return None, []
    return pick_list, list(pick_list.lines.select_related("part", "stock"))


def steps_of(job: Job) -> list[WorkStep]:
    """The steps with who answered, cautions first; one query."""
    return list(job.steps.select_related("done_by").order_by("-caution", "position"))


def drawing_of(job: Job, *, key: str = "job", width: int = 1120) -> dict[str, Any]:
    """The plan drawn on the boat, and the same facts in rows; empty without a plan."""
    if not job.plan or not job.case:
        return {}
    facts = {"case": job.case, "plan": job.plan, "boat": job.boat, "marks": marks_of(job.checks)}
    return {"svg": plan_picture(**facts, key=key, width=width), "rows": plan_rows(**facts)}


def port_rows(job: Job) -> list[dict[str, Any]]:
    """The port map: both ends with unit and port, cable, feet, new or aboard already."""
    return [
        {
            "ends": list(zip(link["between"], link["ports"], strict=True)),
            "cable": link["cable"].removeprefix("buy:"),
            "new": link["cable"].startswith("buy:"),
            "feet": link.get("feet"),
        }
        for link in job.ports
    ]


def mine(user: User) -> QuerySet[Job]:
    """A technician's own jobs that are not done, the next day first."""
    rows = Job.objects.of(user.shop_id).defer(*WITHOUT_PLAN).filter(technician=user)
    rows = rows.filter(state__in=["scheduled", "on_job", "held"])
    return rows.select_related("boat", "customer").order_by("planned_on", "number")


def on_day(shop: Shop, day: date) -> QuerySet[Job]:
    """What the shop does on a day, by technician."""
    rows = Job.objects.of(shop).defer(*WITHOUT_PLAN).filter(planned_on=day)
    rows = rows.filter(state__in=["scheduled", "on_job", "held"])
    return rows.select_related("boat", "customer", "technician").order_by("technician", "number")
