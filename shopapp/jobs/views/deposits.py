"""Deposits of an approved quote: noted, and struck where that was a mistake."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused
from shopapp.jobs.forms.deposits import DepositForm, StrikeForm
from shopapp.jobs.models import Deposit, Quote
from shopapp.jobs.services.deposits import money_of, note_deposit, strike_deposit
from shopapp.jobs.services.quotes import today_of
from shopapp.roles import needs


@needs("deposits.note")
@require_http_methods(["GET", "HEAD", "POST"])
def deposit_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Note money received, and see what came before."""
    rows = Quote.objects.select_related("shop", "boat", "customer", "accepted_option")
    quote = get_for(request, rows, pk=pk)
    money = money_of(quote)
    start = {"cents": money.open_cents or None, "received_on": today_of(quote.shop)}
    form = DepositForm(request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            note_deposit(quote=quote, by=request.user, **form.cleaned_data)
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, "The deposit is noted; the customer's page shows it.")
            return redirect("jobs:quote", pk=pk)
    facts = {"quote": quote, "form": form, "money": money}
    return render(request, "jobs/deposit.html", facts, status=422 if form.errors else 200)


@needs("deposits.note")
@require_POST
def deposit_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike a deposit noted by mistake."""
    row = get_for(request, Deposit, pk=pk, path="quote__shop")
    form = StrikeForm(request.POST)
    form.is_valid()
    strike_deposit(deposit=row, why=form.cleaned_data.get("why", ""), by=request.user)
    messages.success(request, "The deposit is struck; it stays readable.")
    return redirect("jobs:deposit_add", pk=row.quote_id)
