"""Jobs at the desk: the list, the week's board, and each job's page."""

from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused, StaleRecord
from shopapp.jobs import board as boards
from shopapp.jobs import job_queries
from shopapp.jobs.forms.jobs import (
    ComebackForm,
    PickedForm,
    PutForm,
    ReasonForm,
    ScheduleForm,
    technicians_of,
)
from shopapp.jobs.job_page import page_facts
from shopapp.jobs.models import Job
from shopapp.jobs.services import comebacks, moves, picking, risk, scheduling
from shopapp.jobs.services.papers import OF_JOB
from shopapp.jobs.services.quotes import today_of
from shopapp.roles import may, needs
from shopapp.ui.lists import list_page
from shopapp.ui.templatetags.ui import day as day_words

read_or_send = require_http_methods(["GET", "HEAD", "POST"])
ASKING = {"scheduled": "jobs:job_schedule", "done": "jobs:work_close"}


@needs("jobs.see")
@require_GET
def jobs(request: HttpRequest) -> HttpResponse:
    """All jobs, by words, state and technician; the newest first."""
    facts = {
        "page": list_page(request, job_queries.jobs_found(request.user.shop, request.GET)),
        "asked": request.GET,
        "states": Job.State.choices,
        "technicians": technicians_of(request.user.shop),
        "batch_kinds": [(kind.value, kind.label) for kind in reversed(OF_JOB)],
    }
    return render(request, "jobs/jobs.html", facts)


@needs("jobs.see")
@require_GET
def board(request: HttpRequest) -> HttpResponse:
    """The week: days across, technicians down; ready jobs that no day holds beside it."""
    shop = request.user.shop
    today = today_of(shop)
    day = _day(request.GET.get("week", "")) or today
    people = list(technicians_of(shop))
    week = boards.week_of(shop=shop, day=day, today=today, technicians=people)
    week.rows = [row for row in week.rows if row.technician.role == "technician" or row.minutes]
    facts = {"week": week, "movable": boards.MOVABLE, "moving": _moving(request)}
    return render(request, "jobs/board.html", facts)


def _moving(request: HttpRequest) -> Job | None:
    """The job that `?move=` picked up, where it may be moved by this person."""
    asked = request.GET.get("move", "")
    if not (asked.isdecimal() and len(asked) < 12 and may(request.user, "jobs.schedule")):
        return None
    rows = Job.objects.of(request.user.shop).select_related("boat").defer("case", "plan", "ports")
    return rows.filter(pk=int(asked), state__in=boards.MOVABLE).first()


@needs("jobs.schedule")
@require_POST
def board_put(request: HttpRequest, pk: int) -> HttpResponse:
    """Put the job that was picked up on a technician's day: one press, or Enter on the button."""
    row = get_for(request, Job, pk=pk)
    form = PutForm(request.POST, request=request, shop=request.user.shop)
    if not form.is_valid():
        messages.error(request, "That square is not on the board any more; nothing was moved.")
        return redirect("jobs:board")
    facts = form.cleaned_data
    if row.version != facts["version"]:
        raise StaleRecord(
            f"Somebody else changed {row} while you looked at it.",
            todo="Look at the board again; nothing was moved.",
        )
    technician, day = facts["technician"], facts["planned_on"]
    scheduling.schedule_job(
        job=row, technician=technician, day=day, by=request.user, start=row.planned_from
    )
    messages.success(request, f"{row} is {technician}'s on {day_words(day)}.")
    for note in boards.day_notes(technician=technician, day=day):
        messages.warning(request, note)
    return redirect(f"{reverse('jobs:board')}?week={day.isoformat()}")


def _day(text: str) -> date | None:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return day if 2000 <= day.year <= 2200 else None


@needs("jobs.see")
@require_GET
def job(request: HttpRequest, pk: int) -> HttpResponse:
    """One job: its state and the moves from here, what was agreed, work, parts, papers."""
    row = get_for(request, job_queries.job_for_page(Job.objects.all()), pk=pk)
    return render(request, "jobs/job.html", page_facts(row, request.user))


@needs("jobs.see")
@read_or_send
def job_move(request: HttpRequest, pk: int, after: str) -> HttpResponse:
    """Move a job along; a move that asks for more leads to its own form."""
    row = get_for(request, Job, pk=pk)
    if after in ASKING:
        return redirect(ASKING[after], pk)
    if after in scheduling.MOVERS:
        return _with_reason(request, row, after)
    if request.method != "POST":
        return redirect("jobs:job", pk)
    try:
        scheduling.move_along(
            job=row, after=after, by=request.user, note=request.POST.get("reason", "")
        )
    except FactRefused as error:
        return _asked_for_words(request, row, after, error)
    messages.success(request, f"{row} is “{row.get_state_display()}” now.")
    return redirect(_next_page(request, row, after))


def _next_page(request: HttpRequest, row: Job, after: str) -> str:
    return reverse("jobs:work" if after == Job.State.ON_JOB else "jobs:job", args=[row.pk])


def _with_reason(request: HttpRequest, row: Job, after: str) -> HttpResponse:
    moves.check_job_move(job=row, after=after, by=request.user)
    form = ReasonForm(request.POST or None, request=request, after=after)
    if request.method == "POST" and form.is_valid():
        reason = form.cleaned_data["reason"]
        scheduling.MOVERS[after](job=row, reason=reason, by=request.user)
        messages.success(request, f"{row} is “{row.get_state_display()}” now.")
        return redirect("jobs:job", row.pk)
    facts = {"job": row, "form": form, "after": after, "verb": scheduling.VERBS[after]}
    return render(request, "jobs/job_reason.html", facts, status=_status(request))


def _asked_for_words(
    request: HttpRequest, row: Job, after: str, error: FactRefused
) -> HttpResponse:
    """The move wants words beside the press: its form, with what is missing."""
    form = ReasonForm(request.POST, request=request, after=after)
    form.is_valid()
    form.refuse(error)
    facts = {"job": row, "form": form, "after": after, "verb": scheduling.VERBS[after]}
    return render(request, "jobs/job_reason.html", facts, status=error.status)


@needs("jobs.schedule")
@require_POST
def job_risk(request: HttpRequest, pk: int) -> HttpResponse:
    """A manager lets a job start though something that decides is open."""
    row = get_for(request, Job.objects.select_related("quote", "option"), pk=pk)
    risk.take_risk(job=row, reason=request.POST.get("reason", ""), by=request.user)
    messages.success(request, f"{row} may start; your name stands with it.")
    return redirect("jobs:job", pk)


@needs("problems.note")
@read_or_send
def job_comeback(request: HttpRequest, pk: int) -> HttpResponse:
    """The boat came back: a new job, linked to this one, with its cause."""
    row = get_for(request, Job.objects.select_related("shop", "boat__customer"), pk=pk)
    form = ComebackForm(request.POST or None, request=request)
    if request.method == "POST" and form.is_valid():
        fresh = comebacks.open_comeback(job=row, by=request.user, **form.cleaned_data)
        messages.success(request, f"{fresh} is open and ready to be given a day.")
        return redirect("jobs:job", fresh.pk)
    facts = {"job": row, "form": form}
    return render(request, "jobs/job_comeback.html", facts, status=_status(request))


@needs("problems.note")
@require_POST
def job_cause(request: HttpRequest, pk: int) -> HttpResponse:
    """The cause of a comeback, once it is known."""
    row = get_for(request, Job, pk=pk)
    comebacks.name_cause(job=row, cause=request.POST.get("cause", ""), by=request.user)
    messages.success(request, "The cause is written down.")
    return redirect("jobs:job", pk)


@needs("jobs.schedule")
@read_or_send
def job_schedule(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a job its technician and day; the technician's week stands beside."""
    row = get_for(request, Job.objects.select_related("boat", "technician"), pk=pk)
    form = ScheduleForm(
        request.POST or None, request=request, shop=request.user.shop, initial=_asked(request, row)
    )
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        try:
            scheduling.schedule_job(
                job=row,
                technician=facts["technician"],
                day=facts["planned_on"],
                start=facts["planned_from"],
                by=request.user,
            )
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, f"{row} is on the board.")
            for note in boards.day_notes(technician=facts["technician"], day=facts["planned_on"]):
                messages.warning(request, note)
            return redirect("jobs:job", pk)
    return render(
        request, "jobs/job_schedule.html", {"job": row, "form": form}, status=_status(request)
    )


def _asked(request: HttpRequest, row: Job) -> dict[str, object]:
    asked = {
        "technician": row.technician_id,
        "planned_on": row.planned_on,
        "planned_from": row.planned_from,
    }
    asked |= {name: request.GET[name] for name in asked if request.GET.get(name)}
    return asked


def _status(request: HttpRequest) -> int:
    return 422 if request.method == "POST" else 200


@needs("jobs.pick")
@require_POST
def job_pick(request: HttpRequest, pk: int) -> HttpResponse:
    """Write how many pieces of each line are picked."""
    row = get_for(request, job_queries.job_for_page(Job.objects.all()), pk=pk)
    _, lines = job_queries.pick_lines_of(row)
    form = PickedForm(request.POST, request=request, lines=lines)
    if form.is_valid():
        picking.count_picked(job=row, counts=form.counts(), by=request.user)
        messages.success(request, "The pick list is saved.")
        return redirect(f"{reverse('jobs:job', args=[pk])}#parts")
    facts = page_facts(row, request.user) | {"pick_form": form}
    return render(request, "jobs/job.html", facts, status=422)


@needs("jobs.pick")
@require_POST
def job_reserve(request: HttpRequest, pk: int) -> HttpResponse:
    """Reserve what has come in for the short lines."""
    row = get_for(request, Job, pk=pk)
    found = picking.reserve_short(job=row, by=request.user)
    words = f"{found} more reserved." if found else "Nothing has come in for the short lines yet."
    messages.info(request, words)
    return redirect(f"{reverse('jobs:job', args=[pk])}#parts")
