"""Problems seen on jobs: noted at the boat or at the desk, listed, solved."""

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused
from shopapp.jobs.forms.work import ProblemForm, SolveForm
from shopapp.jobs.models import Job, Problem
from shopapp.jobs.problem_queries import problems_found
from shopapp.jobs.services.problems import (
    note_problem,
    open_again,
    settle_problem,
    solve_problem,
)
from shopapp.roles import needs
from shopapp.ui.history import changes_of
from shopapp.ui.lists import list_page

read_or_send = require_http_methods(["GET", "HEAD", "POST"])
SHOWN = Problem.objects.select_related(
    "job", "boat", "unit", "model", "release", "counterpart", "switch", "noted_by", "photo", "step"
)


@needs("jobs.see")
@require_GET
def problems(request: HttpRequest) -> HttpResponse:
    """All problems, the newest first, by words, symptom and whether they are solved."""
    facts = {
        "page": list_page(request, problems_found(request.user.shop, request.GET)),
        "asked": request.GET,
        "symptoms": Problem.Symptom.choices,
    }
    return render(request, "jobs/problems.html", facts)


@needs("jobs.see")
@require_GET
def problem(request: HttpRequest, pk: int) -> HttpResponse:
    """One problem, with the form that solves it."""
    row = get_for(request, SHOWN.all(), pk=pk)
    return _page(request, row, SolveForm.of(row, request=request))


def _page(request: HttpRequest, row: Problem, form: SolveForm) -> HttpResponse:
    facts = {"problem": row, "form": form, "changes": changes_of(row, limit=10)}
    return render(request, "jobs/problem.html", facts, status=422 if form.errors else 200)


@needs("problems.note")
@read_or_send
def problem_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Note a problem on a job; at the boat it leads back to the step."""
    job = get_for(request, Job.objects.select_related("boat"), pk=pk)
    start = {"step": request.GET.get("step", ""), "unit": request.GET.get("unit", "")}
    form = ProblemForm(
        request.POST or None, request.FILES or None, request=request, job=job, initial=start
    )
    if request.method == "POST" and form.is_valid():
        try:
            _note(request, job, form)
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, "The problem is noted.")
            return redirect("jobs:work" if job.state == "on_job" else "jobs:job", pk)
    facts = {"job": job, "form": form}
    return render(
        request, "jobs/problem_add.html", facts, status=422 if request.method == "POST" else 200
    )


def _note(request: HttpRequest, job: Job, form: ProblemForm) -> None:
    step = job.steps.filter(pk=form.cleaned_data["step"] or 0).first()
    note_problem(job=job, seen=form.seen(), by=request.user, step=step)


@needs("problems.note")
@require_POST
def problem_solve(request: HttpRequest, pk: int) -> HttpResponse:
    """Solve a problem with its cause, or put right how a solved one ended."""
    row = get_for(request, SHOWN.all(), pk=pk)
    form = SolveForm.of(row, request.POST, request=request)
    if not form.is_valid():
        return _page(request, row, form)
    act = settle_problem if request.POST.get("settle") else solve_problem
    try:
        act(problem=row, outcome=form.outcome())
    except FactRefused as error:
        form.refuse(error)
        return _page(request, row, form)
    words = "The outcome is on record." if request.POST.get("settle") else "The cause is on record."
    messages.success(request, f"Solved. {words}")
    return redirect("jobs:problem", pk)


@needs("problems.note")
@require_POST
def problem_open(request: HttpRequest, pk: int) -> HttpResponse:
    """Open a solved problem again."""
    open_again(problem=get_for(request, Problem, pk=pk))
    return redirect("jobs:problem", pk)


@needs("jobs.see")
@require_GET
def problem_photo(request: HttpRequest, pk: int) -> HttpResponse:
    """The photo of a problem."""
    row = get_for(request, Problem.objects.select_related("photo"), pk=pk)
    if row.photo is None:
        raise Http404("No photo was taken.")
    return FileResponse(row.photo.image.open("rb"), content_type="image/jpeg")
