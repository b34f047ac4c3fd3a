"""The store's pages: pick lists, the counter where they are scanned, substitutes, leftovers."""

from csp.decorators import csp_update
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.catalog.models import EquipmentModel, Part
from shopapp.errors import FactRefused, ShopError
from shopapp.jobs import store_queries as queries
from shopapp.jobs.forms.store import BackForm, IssueForm, SerialForm, StageForm
from shopapp.jobs.models import Document, Job, PickLine
from shopapp.jobs.queries import papers_of
from shopapp.jobs.services import leftovers, picking, scanning, serials, staging, substitutes
from shopapp.roles import needs
from shopapp.stock.models import Piece
from shopapp.ui.lists import list_page

PAPERS = (Document.DocumentKind.PICK_LIST, Document.DocumentKind.TOTE_LABEL)
read_or_send = require_http_methods(["GET", "HEAD", "POST"])


@needs("jobs.see")
@require_GET
def pick_lists(request: HttpRequest) -> HttpResponse:
    """All pick lists that are open, by what they ask for next; the soonest job first."""
    page = list_page(request, queries.pick_lists_found(request.user.shop, request.GET))
    facts = {
        "page": page,
        "rows": queries.list_rows(page.items),
        "asked": request.GET,
        "steps": queries.STEPS.items(),
    }
    return render(request, "jobs/store/pick_lists.html", facts)


def _job(request: HttpRequest, pk: int) -> Job:
    rows = Job.objects.select_related("shop", "boat", "customer", "technician")
    return get_for(request, rows.defer("case", "plan", "ports"), pk=pk)


def _line(request: HttpRequest, pk: int) -> PickLine:
    rows = PickLine.objects.select_related(
        "part", "stock", "instead_of", "purchase_line", "pick_list__job"
    )
    return get_for(request, rows, pk=pk, path="pick_list__job__shop")


@needs("jobs.see")
@require_GET
@csp_update({"script-src": ["'self'", "'wasm-unsafe-eval'"]})
def pick(request: HttpRequest, pk: int) -> HttpResponse:
    """One pick list at the counter; the camera's reader of codes is a machine of our own files."""
    return _counter(request, _job(request, pk))


def _counter(request: HttpRequest, job: Job, *, status: int = 200, **facts: object) -> HttpResponse:
    page = queries.pick_page(job)
    technician = str(job.technician) if job.technician else ""
    facts = {
        "job": job,
        "pick": page,
        "papers": [one for one in papers_of(job=job) if one.kind in PAPERS],
        "stage_form": StageForm(initial={"totes": page.pick_list.totes if page.pick_list else 1}),
        "issue_form": IssueForm(initial={"to": technician}),
        **facts,
    }
    part = request.htmx and not request.htmx.boosted
    name = "jobs/store/_counter.html" if part else "jobs/store/pick.html"
    return render(request, name, facts, status=status)


@needs("jobs.pick")
@require_POST
def scan(request: HttpRequest, pk: int) -> HttpResponse:
    """Count the piece that was scanned, or say in words why not."""
    job, code = _job(request, pk), request.POST.get("code", "")
    try:
        said = scanning.scan_piece(job=job, code=code, by=request.user)
    except FactRefused as error:
        words = f"{error.message} {error.todo}".strip()
        return _counter(request, job, status=422, refused=words, code=code)
    if request.htmx:
        return _counter(request, job, said=said)
    messages.success(request, said.words)
    return redirect("jobs:pick", pk)


@needs("jobs.pick")
@require_POST
def undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back the last scan."""
    job = _job(request, pk)
    gone = scanning.undo_scan(job=job, by=request.user)
    words = f"Taken back: one {gone.line.part.number}."
    if request.htmx:
        return _counter(request, job, undone=words)
    messages.info(request, words)
    return redirect("jobs:pick", pk)


@needs("jobs.pick")
@require_POST
def reserve(request: HttpRequest, pk: int) -> HttpResponse:
    """Reserve what has come in for the short lines."""
    found = picking.reserve_short(job=_job(request, pk), by=request.user)
    words = f"{found} more reserved." if found else "Nothing has come in for the short lines yet."
    messages.info(request, words)
    return redirect("jobs:pick", pk)


@needs("jobs.pick")
@require_POST
def stage(request: HttpRequest, pk: int) -> HttpResponse:
    """Staged: checked by eye against the list; the label is asked for."""
    job = _job(request, pk)
    form = StageForm(request.POST, request=request)
    if form.is_valid():
        try:
            staging.stage_list(job=job, by=request.user, **form.cleaned_data)
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, "Staged. The tote label is being made.")
            return redirect("jobs:pick", pk)
    return _counter(request, job, status=422, stage_form=form)


@needs("jobs.pick")
@require_POST
def unstage(request: HttpRequest, pk: int) -> HttpResponse:
    """Open a staged list again."""
    staging.unstage_list(job=_job(request, pk), by=request.user)
    messages.info(request, "The list is open again.")
    return redirect("jobs:pick", pk)


@needs("jobs.pick")
@require_POST
def issue(request: HttpRequest, pk: int) -> HttpResponse:
    """Hand the totes over."""
    job = _job(request, pk)
    form = IssueForm(request.POST, request=request)
    if not form.is_valid():
        return _counter(request, job, status=422, issue_form=form)
    staging.issue_list(job=job, to=form.cleaned_data["to"], by=request.user)
    messages.success(request, f"Given to {form.cleaned_data['to']}.")
    return redirect("jobs:pick", pk)


@needs("jobs.pick")
@require_GET
def substitute(request: HttpRequest, pk: int) -> HttpResponse:
    """What may stand in for a line's part."""
    return _substitutes(request, _line(request, pk))


def _substitutes(
    request: HttpRequest, line: PickLine, *, status: int = 200, **facts: object
) -> HttpResponse:
    found = {
        "line": line,
        "job": line.pick_list.job,
        "likes": substitutes.like_substitutes(line),
        "others": substitutes.other_models(line),
        "without": substitutes.without_model(line),
        "is_model": substitutes.model_of_line(line) is not None,
        **facts,
    }
    return render(request, "jobs/store/substitutes.html", found, status=status)


@needs("jobs.pick")
@require_POST
def substitute_take(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a like substitute on the line."""
    line = _line(request, pk)
    part = get_for(request, Part, pk=_number(request, "part"))
    try:
        substitutes.take_like(line=line, part=part, by=request.user)
    except FactRefused as error:
        return _substitutes(request, line, status=422, refused=error.message)
    messages.success(request, f"{part.number} stands in.")
    return redirect("jobs:pick", line.pick_list.job_id)


@needs("jobs.pick")
@require_POST
def substitute_prove(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask the planner whether another model, or none of that one, is right for the job."""
    line = _line(request, pk)
    number = _number(request, "model")
    other = get_for(request, EquipmentModel, pk=number) if number else None
    try:
        substitutes.prove_model(line=line, other=other, by=request.user)
    except FactRefused as error:
        return _substitutes(request, line, status=422, refused=error.message)
    return redirect("jobs:substitute", pk)


@needs("changes.make")
@require_POST
def substitute_change(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a change order of a proven model; the customer's yes comes before the parts."""
    line = _line(request, pk)
    other = get_for(request, EquipmentModel, pk=_number(request, "model"))
    try:
        change = substitutes.change_to_model(line=line, other=other, by=request.user)
    except FactRefused as error:
        return _substitutes(request, line, status=422, refused=error.message)
    messages.success(request, f"Change order {change}: choose the plan, then offer it.")
    return redirect("jobs:change", change.pk)


def _number(request: HttpRequest, name: str) -> int:
    text = request.POST.get(name, "")
    return int(text[:12]) if text.isdecimal() else 0


@needs("jobs.see")
@require_GET
def leftover_list(request: HttpRequest) -> HttpResponse:
    """What went out, was not used and has not come back."""
    page = list_page(request, leftovers.leftovers_of(request.user.shop).order_by("pk"))
    return render(request, "jobs/store/leftovers.html", {"page": page})


@needs("jobs.pick")
@read_or_send
def bring_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Write what became of what was not used."""
    line = _line(request, pk)
    start = {"count": line.out, "place": line.stock.place if line.stock else ""}
    form = BackForm(request.POST or None, request=request, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            leftovers.bring_back(line=line, by=request.user, **form.cleaned_data)
        except ShopError as error:
            form.refuse(error if isinstance(error, FactRefused) else FactRefused(error.message))
        else:
            messages.success(request, f"{line.part.number} is back in the books.")
            return redirect("jobs:leftovers")
    facts = {"line": line, "job": line.pick_list.job, "form": form}
    status = 422 if request.method == "POST" else 200
    return render(request, "jobs/store/bring_back.html", facts, status=status)


@needs("parts.edit")
@read_or_send
def serial(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a box's serial right; who, why and what it was stay with it."""
    piece = get_for(request, Piece.objects.select_related("part", "stock"), pk=pk)
    form = SerialForm(request.POST or None, request=request, initial={"serial": piece.serial})
    if request.method == "POST" and form.is_valid():
        try:
            serials.correct_serial(piece=piece, by=request.user, **form.cleaned_data)
        except FactRefused as error:
            form.refuse(error)
        else:
            return redirect("stock:part_supply", piece.part_id)
    status = 422 if request.method == "POST" else 200
    return render(request, "jobs/store/serial.html", {"piece": piece, "form": form}, status=status)
