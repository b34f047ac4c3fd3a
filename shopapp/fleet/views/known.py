"""Known problems: what a note looks like, and what people made of it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused
from shopapp.fleet.alike import best_known, known_like, loose, notes_like
from shopapp.fleet.forms import MergeForm, NamingForm
from shopapp.fleet.known_queries import known_found, moves_of, notes_of, sums_of
from shopapp.fleet.models import Gathered, KnownMove, KnownProblem
from shopapp.fleet.services import known as services
from shopapp.jobs.models import Problem
from shopapp.roles import needs
from shopapp.ui.history import changes_of
from shopapp.ui.lists import list_page

read_or_send = require_http_methods(["GET", "HEAD", "POST"])
NOTES = Problem.objects.select_related(
    "boat", "job", "model", "release", "counterpart", "switch", "step", "noted_by"
).defer("job__case", "job__plan", "job__ports")
KNOWN = KnownProblem.objects.select_related("model", "counterpart", "merged_into", "shop")


@needs("fleet.see")
@require_GET
def known_list(request: HttpRequest) -> HttpResponse:
    """Known problems, those on most boats first."""
    facts = {
        "page": list_page(request, known_found(request.user.shop, request.GET)),
        "asked": request.GET,
        "symptoms": Problem.Symptom.choices,
        "loose": loose(request.user.shop).count(),
    }
    return render(request, "fleet/known_list.html", facts)


@needs("fleet.see")
@require_GET
def known(request: HttpRequest, pk: int) -> HttpResponse:
    """One known problem: its notes, what it cost, what was done to it."""
    row = get_for(request, KNOWN, pk=pk)
    notes = notes_of(row)
    facts = {
        "known": row,
        "boats": notes.order_by().values("boat").distinct().count(),
        "notes": list_page(request, notes),
        "sums": sums_of(notes, row.shop),
        "moves": moves_of(row),
        "changes": changes_of(row, limit=10),
        "merge": MergeForm(request=request),
    }
    return render(request, "fleet/known.html", facts)


@needs("fleet.see")
@require_GET
def loose_notes(request: HttpRequest) -> HttpResponse:
    """Notes that belong to no known problem yet, each with what it looks like."""
    rows = loose(request.user.shop).select_related("boat", "job", "model", "release", "step")
    page = list_page(request, rows.defer("job__case", "job__plan", "job__ports"), per_page=25)
    best = best_known(page.items, request.user.shop)
    facts = {"page": page, "rows": [(row, best.get(row.pk)) for row in page]}
    return render(request, "fleet/loose.html", facts)


@needs("fleet.sort")
@require_GET
def likeness(request: HttpRequest, pk: int) -> HttpResponse:
    """What a note looks like: the known problems, then other loose notes."""
    row = get_for(request, NOTES, pk=pk)
    here = Gathered.objects.filter(problem=row, ended_at__isnull=True).select_related("known")
    inside = here.first()
    facts = {
        "problem": row,
        "inside": inside,
        "known": [] if inside else known_like(row),
        "alike": [] if inside else notes_like(row),
    }
    page = "fleet/_likeness.html" if request.htmx else "fleet/likeness.html"
    return render(request, page, facts)


@needs("fleet.sort")
@require_POST
def answer(request: HttpRequest, pk: int) -> HttpResponse:
    """A person's word on a proposal: it is this one, it is not, or it is out again."""
    row = get_for(request, NOTES, pk=pk)
    target = get_for(request, KNOWN, pk=_number(request.POST.get("known")))
    said = request.POST.get("said")
    if said == "yes":
        how = next((p.likeness for p in known_like(row) if p.row.pk == target.pk), None)
        services.take_in(problem=row, known=target, by=request.user, likeness=how)
        messages.success(request, f"The note is counted to {target}.")
    elif said == "out":
        note = request.POST.get("note", "")
        services.part_note(problem=row, known=target, by=request.user, note=note)
        messages.success(request, f"The note is out of {target}.")
    else:
        services.say_not_alike(problem=row, known=target, by=request.user)
        messages.success(request, f"Noted: it is not {target}.")
    return redirect("jobs:problem", pk)


def _number(text: str | None) -> int:
    return int(text) if text and text.isdecimal() and len(text) < 18 else 0


def _chosen(request: HttpRequest) -> list[Problem]:
    pks = [int(text) for text in request.POST.getlist("problems") if _number(text)]
    return list(NOTES.filter(shop=request.user.shop_id, pk__in=pks[:500]))


@needs("fleet.sort")
@read_or_send
def make(request: HttpRequest, pk: int) -> HttpResponse:
    """A known problem out of this note and those like it."""
    row = get_for(request, NOTES, pk=pk)
    form = NamingForm(request.POST or None, request=request, initial=NamingForm.start(row))
    if request.method == "POST" and form.is_valid():
        chosen = [row, *(note for note in _chosen(request) if note.pk != row.pk)]
        try:
            made = services.make_known(
                shop=request.user.shop, problems=chosen, naming=form.naming(), by=request.user
            )
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, f"{made} is known now.")
            return redirect("fleet:known", made.pk)
    facts = {"problem": row, "form": form, "alike": notes_like(row)}
    facts["ticked"] = request.POST.getlist("problems") if request.method == "POST" else None
    return render(
        request, "fleet/make.html", facts, status=422 if request.method == "POST" else 200
    )


@needs("fleet.edit")
@read_or_send
def known_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Put the words of a known problem right."""
    row = get_for(request, KNOWN, pk=pk)
    form = NamingForm(request.POST or None, request=request, initial=NamingForm.start(row))
    if request.method == "POST" and form.is_valid():
        services.rename_known(known=row, naming=form.naming())
        messages.success(request, f"{row.code} is saved.")
        return redirect("fleet:known", pk)
    facts = {"known": row, "form": form}
    return render(
        request, "fleet/known_edit.html", facts, status=422 if request.method == "POST" else 200
    )


@needs("fleet.edit")
@require_POST
def known_merge(request: HttpRequest, pk: int) -> HttpResponse:
    """Merge a known problem into another one."""
    row = get_for(request, KNOWN, pk=pk)
    form = MergeForm(request.POST, request=request)
    if form.is_valid():
        into = form.cleaned_data["into"]
        try:
            services.merge_known(
                known=row, into=into, by=request.user, note=form.cleaned_data["note"]
            )
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, f"{row.code} is part of {into} now.")
            return redirect("fleet:known", into.pk)
    return render(request, "fleet/known_merge.html", {"known": row, "form": form}, status=422)


@needs("fleet.edit")
@read_or_send
def known_split(request: HttpRequest, pk: int) -> HttpResponse:
    """Split notes off into a known problem of their own."""
    row = get_for(request, KNOWN, pk=pk)
    form = NamingForm(request.POST or None, request=request, initial=NamingForm.start(row))
    if request.method == "POST" and form.is_valid():
        try:
            made = services.split_known(
                known=row, problems=_chosen(request), naming=form.naming(), by=request.user
            )
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, f"{made} was split off.")
            return redirect("fleet:known", made.pk)
    facts = {"known": row, "form": form, "notes": notes_of(row)[:200]}
    facts["ticked"] = request.POST.getlist("problems")
    return render(
        request, "fleet/known_split.html", facts, status=422 if request.method == "POST" else 200
    )


@needs("fleet.edit")
@require_POST
def known_undo(request: HttpRequest, pk: int, move: int) -> HttpResponse:
    """Take back what was done to a known problem."""
    row = get_for(request, KnownMove.objects.all(), pk=move, path="known__shop")
    services.undo_move(move=row, by=request.user)
    messages.success(request, "Taken back: every note is where it was.")
    return redirect("fleet:known", pk)
