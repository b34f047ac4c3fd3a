"""Statements drafted from known problems: drafted, shown with what they would change, reviewed."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from planner.statements.forms import StatementForm
from planner.statements.queries import names_of
from planner.statements.words import tell_rule
from shopapp.accounts.access import get_for
from shopapp.boats.models import Boat
from shopapp.errors import FactRefused
from shopapp.fleet.at_risk import at_risk_of
from shopapp.fleet.drafting import draft_statement
from shopapp.fleet.models import KnownProblem, Lesson
from shopapp.fleet.services import lessons as services
from shopapp.jobs.models import Quote
from shopapp.roles import needs
from shopapp.ui.forms import DeskForm
from shopapp.ui.lists import list_page

read_or_send = require_http_methods(["GET", "HEAD", "POST"])
LESSONS = Lesson.objects.select_related(
    "known", "shop", "supersedes", "statement", "drafted_by", "reviewed_by"
)


class ReviewForm(DeskForm):
    """The second person's word."""

    note = forms.CharField(label="What you looked at", max_length=300, required=False)
    number = forms.IntegerField(label="Boats that would be wrong", min_value=0, required=False)
    clash = forms.BooleanField(
        label="Keep a statement that it clashes with in force as well", required=False
    )


@needs("statements.see")
@require_GET
def drafts(request: HttpRequest) -> HttpResponse:
    """Drafts, those that wait for a review first."""
    rows = LESSONS.filter(shop=request.user.shop_id).order_by("-state", "-drafted_at")
    rows = rows.order_by("-drafted_at") if request.GET.get("all") else rows.filter(state="draft")
    facts = {"page": list_page(request, rows), "asked": request.GET}
    return render(request, "fleet/lessons.html", facts)


@needs("statements.edit")
@read_or_send
def draft(request: HttpRequest, pk: int) -> HttpResponse:
    """Draft a statement from a known problem, begun from what its notes show."""
    known = get_for(
        request, KnownProblem.objects.select_related("model", "counterpart", "shop"), pk=pk
    )
    statement, evidence = draft_statement(known, at_risk_of(known))
    form = StatementForm(request.POST or None, request=request, instance=statement)
    if request.method == "POST" and form.is_valid():
        try:
            made = services.draft_lesson(
                known=known, statement=form.save_rule(), evidence=evidence, by=request.user
            )
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, "Drafted. A second person reviews it.")
            return redirect("fleet:lesson", made.pk)
    facts = {"known": known, "form": form, "evidence": evidence}
    status = 422 if request.method == "POST" else 200
    return render(request, "fleet/lesson_draft.html", facts, status=status)


@needs("statements.see")
@require_GET
def lesson(request: HttpRequest, pk: int) -> HttpResponse:
    """One draft: rule, evidence, what it would change, and the review."""
    return _page(request, get_for(request, LESSONS, pk=pk), ReviewForm(request=request))


def _page(request: HttpRequest, row: Lesson, form: ReviewForm) -> HttpResponse:
    facts = {"lesson": row, "form": form, "in_words": tell_rule(row.rule, names_of(row.shop))}
    facts |= _impact(row)
    return render(request, "fleet/lesson.html", facts, status=422 if form.errors else 200)


def _impact(row: Lesson) -> dict[str, Any]:
    impact = row.impact or {}
    numbers = [*impact.get("quotes_open", []), *impact.get("quotes_sent", [])]
    quotes = Quote.objects.filter(shop=row.shop_id, pk__in=numbers).select_related("boat")
    by_state = {True: [], False: []}
    for quote in quotes:
        by_state[quote.pk in impact["quotes_open"]].append(quote)
    boats = Boat.objects.filter(shop=row.shop_id, pk__in=impact.get("boats", []))
    return {
        "open_quotes": by_state[True],
        "sent_quotes": by_state[False],
        "boats": boats.order_by("name", "pk"),
        "half": services.hits_half(row),
        "working": row.row_state in {"requested", "running"},
    }


@needs("statements.see")
@require_GET
def impact(request: HttpRequest, pk: int) -> HttpResponse:
    """How far the look at the fleet is; once it is over the page loads anew."""
    row = get_for(request, LESSONS, pk=pk)
    facts = {"lesson": row} | _impact(row)
    page = render(request, "fleet/_impact.html", facts)
    if not facts["working"]:
        page["HX-Refresh"] = "true"
    return page


@needs("statements.edit")
@require_POST
def answer(request: HttpRequest, pk: int) -> HttpResponse:
    """A second person accepts or declines a draft, or has its effect worked out anew."""
    row = get_for(request, LESSONS, pk=pk)
    said = request.POST.get("said")
    if said == "again":
        services.work_out_again(lesson=row)
        return redirect("fleet:lesson", pk)
    form = ReviewForm(request.POST, request=request)
    if not form.is_valid():
        return _page(request, row, form)
    try:
        _answer(request, row, form.cleaned_data, accept=said == "accept")
    except FactRefused as error:
        form.refuse(error)
        return _page(request, row, form)
    return redirect("fleet:lesson", pk)


def _answer(request: HttpRequest, row: Lesson, facts: dict[str, Any], *, accept: bool) -> None:
    if accept:
        made = services.accept_lesson(lesson=row, by=request.user, **facts)
        messages.success(request, f"{made.code} is in force: every plan from now on obeys it.")
    else:
        services.decline_lesson(lesson=row, by=request.user, note=facts["note"])
        messages.success(request, "Declined; the reason is on record.")
