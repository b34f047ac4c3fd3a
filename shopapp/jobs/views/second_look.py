"""The second look at a quote: one person asks, another says yes or gives it back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from shopapp.accounts.access import get_for
from shopapp.jobs.models import Quote, QuoteCheck
from shopapp.jobs.services import second_look as service
from shopapp.roles import needs


@needs("quotes.send")
@require_POST
def look_ask(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask for the second look, with the reason why the quote is right."""
    row = get_for(request, Quote.objects.select_related("shop"), pk=pk)
    service.ask_for_look(quote=row, reason=request.POST.get("reason", ""), by=request.user)
    messages.success(request, "The second look is asked for; it stands on the first page.")
    return redirect("jobs:quote", pk=pk)


@needs("quotes.look")
@require_POST
def look_answer(request: HttpRequest, pk: int) -> HttpResponse:
    """Pass the quote, or give it back to be changed."""
    rows = QuoteCheck.objects.select_related("quote__shop", "asked_by")
    row = get_for(request, rows, pk=pk, path="quote__shop")
    note = request.POST.get("note", "")
    if request.POST.get("verdict") == "passed":
        service.pass_look(check=row, note=note, by=request.user)
        messages.success(request, f"Quote {row.quote} may go out.")
    else:
        service.return_look(check=row, note=note, by=request.user)
        messages.success(request, f"Quote {row.quote} is given back.")
    return redirect("jobs:quote", pk=row.quote_id)
