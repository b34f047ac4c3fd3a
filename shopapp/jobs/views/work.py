"""The technician's pages: own jobs, the job step by step, hold, close."""

from collections.abc import Callable

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs import job_queries
from shopapp.jobs.forms.jobs import ReasonForm
from shopapp.jobs.forms.work import StepForm, UsedForm, mark_time
from shopapp.jobs.models import Job, WorkStep
from shopapp.jobs.services import scheduling
from shopapp.jobs.services.closing import AFTER_WORK, close_job, open_steps, outcome_of, usage_of
from shopapp.jobs.services.quotes import today_of
from shopapp.jobs.services.steps import answer_step, take_back
from shopapp.jobs.work_page import jobs_for_work, page_facts, sees_phone, work_facts, written_rows
from shopapp.roles import needs

read_or_send = require_http_methods(["GET", "HEAD", "POST"])


@needs("jobs.work")
@require_GET
def mine(request: HttpRequest) -> HttpResponse:
    """The person's own jobs, today's first, and what else the shop does today."""
    today = today_of(request.user.shop)
    own = list(job_queries.mine(request.user).prefetch_related("customer__phones"))
    others = job_queries.on_day(request.user.shop, today).exclude(technician=request.user)
    facts = {
        "today": today,
        "now": [job for job in own if job.state == "on_job" or _due(job, today)],
        "later": [job for job in own if job.state != "on_job" and not _due(job, today)],
        "others": others[:20],
    }
    return render(request, "jobs/mine.html", facts)


def _due(job: Job, today: object) -> bool:
    return job.state == "scheduled" and job.planned_on is not None and job.planned_on <= today


@needs("jobs.see")
@require_GET
def work(request: HttpRequest, pk: int) -> HttpResponse:
    """The job at the boat; whoever is not its technician sees it, and changes nothing."""
    job = get_for(request, jobs_for_work(), pk=pk)
    return render(request, "jobs/work.html", page_facts(job, request.user))


def _job_to_work(request: HttpRequest, pk: int) -> Job:
    """The job for a change at the boat: 404 for another shop, 403 for another's job."""
    job = get_for(request, jobs_for_work(), pk=pk)
    if not scheduling.may_work(job=job, user=request.user):
        raise PermissionDenied(f"{job} is another technician's job.")
    return job


@needs("jobs.work")
@require_POST
def work_start(request: HttpRequest, pk: int) -> HttpResponse:
    """Start the job, or go on with it."""
    job = _job_to_work(request, pk)
    if job.state != Job.State.ON_JOB:
        scheduling.start_job(job=job, by=request.user)
    return redirect("jobs:work", pk)


@needs("jobs.work")
@require_POST
def work_step(request: HttpRequest, pk: int, step: int) -> HttpResponse:
    """Answer one step; the steps come back as they stand now, whoever answered what."""
    job = _job_to_work(request, pk)
    row = get_object_or_404(WorkStep, pk=step, job=job)
    row.job = job
    form = StepForm(request.POST, request=request, step=row)
    if not form.is_valid():
        return _steps(request, job, asked=form, step=row, status=422)
    return _tried(
        request, job, row, form,
        lambda: answer_step(step=row, by=request.user, answer=form.answer()),
    )  # fmt: skip


@needs("jobs.work")
@require_POST
def work_step_back(request: HttpRequest, pk: int, step: int) -> HttpResponse:
    """Take an answer back."""
    job = _job_to_work(request, pk)
    row = get_object_or_404(WorkStep, pk=step, job=job)
    row.job = job
    seen = mark_time(request.POST.get("seen", ""))
    return _tried(request, job, row, None, lambda: take_back(step=row, by=request.user, seen=seen))


def _tried(
    request: HttpRequest, job: Job, step: WorkStep, form: StepForm | None, act: Callable
) -> HttpResponse:
    """Do it; what is refused stands beside its field, who was first is said above the steps."""
    try:
        act()
    except FactRefused as error:
        form.refuse(error)
        return _steps(request, job, asked=form, step=step, status=422)
    except MoveRefused as error:
        mine = form if form is not None and form.has_changed() else None
        return _steps(request, job, asked=mine, step=step, error=error, status=error.status)
    if request.htmx:
        return _steps(request, job, step=step)
    return redirect("jobs:work", job.pk)


def _steps(
    request: HttpRequest,
    job: Job,
    *,
    step: WorkStep,
    asked: StepForm | None = None,
    error: MoveRefused | None = None,
    status: int = 200,
) -> HttpResponse:
    kept = {"asked": asked, "step_pk": step.pk}
    if request.htmx:
        facts = work_facts(job, request.user, **kept) | {"swapped": True}
        name = "jobs/_work_steps.html"
    else:
        facts, name = page_facts(job, request.user, **kept), "jobs/work.html"
    facts |= {"error": error, "error_step": step, "asked": asked}
    return render(request, name, facts, status=status)


@needs("jobs.work")
@require_POST
def work_hold(request: HttpRequest, pk: int) -> HttpResponse:
    """Hold the job with its reason."""
    job = _job_to_work(request, pk)
    form = ReasonForm(request.POST, request=request)
    if form.is_valid():
        scheduling.hold_job(job=job, reason=form.cleaned_data["reason"], by=request.user)
        messages.success(request, f"{job} is held.")
        return redirect("jobs:work", pk)
    facts = page_facts(job, request.user) | {"hold_form": form}
    return render(request, "jobs/work.html", facts, status=422)


@needs("jobs.close")
@read_or_send
def work_close(request: HttpRequest, pk: int) -> HttpResponse:
    """Close the job: what is still open, what could not be done, what was used, then one press."""
    job = _job_to_work(request, pk)
    sent = request.method == "POST"
    form = UsedForm(request.POST if sent else None, request=request, usage=usage_of(job))
    error = None
    if sent and (job.state in AFTER_WORK or form.is_valid()):
        try:
            used = form.used() if job.state not in AFTER_WORK else None
            close_job(job=job, by=request.user, used=used)
        except FactRefused as refused:
            form.refuse(refused)
        except MoveRefused as refused:
            error = refused
        else:
            messages.success(request, f"{job} is done; the boat's record says what was done.")
            return redirect("jobs:work_close", pk)
    return _close_page(request, job, form, error)


def _close_page(
    request: HttpRequest, job: Job, form: UsedForm, error: MoveRefused | None
) -> HttpResponse:
    steps = job_queries.steps_of(job)
    closed = outcome_of(job) if job.state in AFTER_WORK else None
    facts = {
        "job": job,
        "form": form,
        "error": error,
        "open": open_steps(steps),
        "left": [step for step in steps if step.state in {"could_not", "skipped"}],
        "off": [step for step in steps if step.out_of_range],
        "closed": closed,
        "written": written_rows(closed.written) if closed else [],
        "sees_phone": sees_phone(job, request.user),
    }
    refused = error.status if error else 422
    status = refused if request.method == "POST" else 200
    return render(request, "jobs/work_close.html", facts, status=status)
