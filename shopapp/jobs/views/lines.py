"""Pages of a quote's lines: add, change, leave out, put back."""

from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.jobs.forms.lines import AddLineForm, LeaveOutForm, LineForm
from shopapp.jobs.forms.saving import VersionForm, saved
from shopapp.jobs.models import QuoteLine, QuoteOption
from shopapp.jobs.services import checks
from shopapp.jobs.services import lines as service
from shopapp.jobs.views.quotes import option_url
from shopapp.roles import needs

read_or_send = require_http_methods(["GET", "HEAD", "POST"])
OF_SHOP = "option__quote__shop"


def _line(request: HttpRequest, pk: int) -> QuoteLine:
    rows = QuoteLine.objects.select_related("option__quote", "part", "task")
    return get_for(request, rows, pk=pk, path=OF_SHOP)


def _page(request: HttpRequest, line: QuoteLine, **forms: object) -> HttpResponse:
    facts = {
        "line": line,
        "quote": line.option.quote,
        "form": LineForm(line=line),
        "off_form": LeaveOutForm(line=line),
        **forms,
    }
    status = max(facts["form"].status, facts["off_form"].status)
    return render(request, "jobs/quote_line.html", facts, status=status)


@needs("quotes.edit")
@read_or_send
def line_add(request: HttpRequest, option: int) -> HttpResponse:
    """A new line from a part, a task or free words."""
    rows = QuoteOption.objects.select_related("quote")
    row = get_for(request, rows, pk=option, path="quote__shop")
    form = AddLineForm(request.POST or None, request=request)
    act = partial(_add, form, row)
    if request.method == "POST" and saved(form, row.quote_id, act):
        return redirect(option_url(row))
    facts = {"quote": row.quote, "option": row, "form": form}
    return render(request, "jobs/quote_line_add.html", facts, status=form.status)


def _add(form: AddLineForm, option: QuoteOption) -> None:
    service.add_line(option=option, facts=form.facts())


@needs("quotes.edit")
@read_or_send
def line(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a line's words, quantity, price or discount."""
    row = _line(request, pk)
    if request.method != "POST":
        return _page(request, row)
    form = LineForm(request.POST, line=row)
    if saved(form, row.option.quote_id, lambda: _change(form, row)):
        messages.success(request, "The line is saved.")
        return redirect(option_url(row.option))
    return _page(request, _line(request, pk), form=form)


def _change(form: LineForm, row: QuoteLine) -> None:
    service.change_line(line=row, seen=form.cleaned_data["version"], facts=form.facts())


@needs("quotes.edit")
@require_POST
def line_off(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a line off; one that the plan needs stays as left out, with its reason."""
    row = _line(request, pk)
    form = LeaveOutForm(request.POST, line=row)
    if saved(form, row.option.quote_id, lambda: _take_off(form, row)):
        return redirect(option_url(row.option))
    return _page(request, _line(request, pk), off_form=form)


def _take_off(form: LeaveOutForm, row: QuoteLine) -> None:
    facts = form.cleaned_data
    if row.remedy:
        checks.let_go_remedy(line=row, seen=facts["version"])
        return
    service.take_line_off(line=row, seen=facts["version"], why=facts.get("why", ""))


@needs("quotes.edit")
@require_POST
def line_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Charge a line again that was left out."""
    row = _line(request, pk)
    form = VersionForm(request.POST)
    if not saved(form, row.option.quote_id, lambda: _put_back(form, row)):
        messages.error(request, "Somebody changed the quote meanwhile; look, then try again.")
    return redirect(option_url(row.option))


def _put_back(form: VersionForm, row: QuoteLine) -> None:
    service.put_line_back(line=row, seen=form.cleaned_data["version"])
