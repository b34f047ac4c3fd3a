"""Change orders at the desk and at the boat."""

from collections.abc import Callable

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused
from shopapp.jobs.change_page import page_facts
from shopapp.jobs.forms.changes import ChangeForm, HandLineForm, NoForm, YesForm
from shopapp.jobs.models import ChangeOrder, Job
from shopapp.jobs.services import change_answers, changing
from shopapp.roles import needs

read_or_send = require_http_methods(["GET", "HEAD", "POST"])
PAGE = (
    "run", "job__shop", "job__boat", "job__customer", "job__quote", "job__option", "made_by",
)  # fmt: skip


def _change(request: HttpRequest, pk: int) -> ChangeOrder:
    return get_for(request, ChangeOrder.objects.select_related(*PAGE), pk=pk)


@needs("changes.make")
@read_or_send
def change_new(request: HttpRequest, pk: int) -> HttpResponse:
    """What was found changes the job: plan again from what is true now."""
    row = get_for(request, Job.objects.select_related("boat", "shop", "quote", "option"), pk=pk)
    form = ChangeForm(request.POST or None, request=request, job=row)
    if request.method == "POST" and form.is_valid():
        facts = form.cleaned_data
        try:
            made = changing.begin_change(
                job=row,
                ground=facts["ground"],
                found=facts["found"],
                wishes=form.wishes(),
                by=request.user,
            )
        except FactRefused as error:
            form.refuse(error)
        else:
            return redirect("jobs:change", made.pk)
    status = 422 if request.method == "POST" else 200
    return render(request, "jobs/change_new.html", {"job": row, "form": form}, status=status)


@needs("changes.see")
@require_GET
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """One change order: what was found, the new plan, the difference, the answer."""
    return render(request, "jobs/change.html", page_facts(_change(request, pk), request.user))


def _kept(
    request: HttpRequest, pk: int, form: forms.Form, slot: str, act: Callable[[ChangeOrder], object]
) -> HttpResponse:
    """Save a form of the page through a service; what was typed stays where it is refused."""
    row = _change(request, pk)
    status = 422
    if form.is_valid():
        try:
            act(row)
        except FactRefused as error:
            form.refuse(error)
            status = error.status
        else:
            return redirect("jobs:change", pk)
    facts = page_facts(row, request.user, **{slot: form})
    return render(request, "jobs/change.html", facts, status=status)


@needs("changes.make")
@require_POST
def change_take(request: HttpRequest, pk: int, option: int) -> HttpResponse:
    """Take one option of the new plan."""
    changing.choose_plan(change=_change(request, pk), option=option, by=request.user)
    return redirect("jobs:change", pk)


@needs("changes.make")
@require_POST
def change_line(request: HttpRequest, pk: int) -> HttpResponse:
    """A line by hand."""
    form = HandLineForm(request.POST, request=request)

    def act(row: ChangeOrder) -> None:
        facts = form.cleaned_data
        changing.add_by_hand(
            change=row,
            words=facts["words"],
            minutes=facts["minutes"] or 0,
            cents=facts["cents"] or 0,
            by=request.user,
        )

    return _kept(request, pk, form, "line_form", act)


@needs("changes.make")
@require_POST
def change_line_off(request: HttpRequest, pk: int, place: int) -> HttpResponse:
    """Take a line by hand off again."""
    changing.drop_line(change=_change(request, pk), place=place)
    return redirect("jobs:change", pk)


@needs("changes.make")
@require_POST
def change_offer(request: HttpRequest, pk: int) -> HttpResponse:
    """Close the draft; the customer's link is on the page."""
    row = changing.offer_change(change=_change(request, pk), by=request.user)
    messages.success(request, f"{row} waits for a yes.")
    return redirect("jobs:change", pk)


@needs("changes.make")
@require_POST
def change_yes(request: HttpRequest, pk: int) -> HttpResponse:
    """A yes given on our screen, by phone, or not needed within the limit."""
    form = YesForm(request.POST, request=request)

    def act(row: ChangeOrder) -> None:
        facts = form.cleaned_data
        seen = facts.pop("version")
        change_answers.agree_change(change=row, by=request.user, seen=seen, **facts)
        messages.success(request, f"{row} is agreed; steps, parts and papers follow it.")

    return _kept(request, pk, form, "yes_form", act)


@needs("changes.make")
@require_POST
def change_no(request: HttpRequest, pk: int) -> HttpResponse:
    """A no; the job goes on as agreed before."""
    form = NoForm(request.POST, request=request)

    def act(row: ChangeOrder) -> None:
        change_answers.decline_change(change=row, by=request.user, **form.cleaned_data)

    return _kept(request, pk, form, "no_form", act)


@needs("changes.make")
@require_POST
def change_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take it back."""
    row = change_answers.withdraw_change(change=_change(request, pk), by=request.user)
    messages.info(request, f"{row} is withdrawn.")
    return redirect("jobs:job", row.job_id)
