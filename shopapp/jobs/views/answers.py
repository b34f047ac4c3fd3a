"""The desk writes down a yes or no that came by phone or e-mail."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused
from shopapp.jobs.forms.quotes import AnswerForm
from shopapp.jobs.models import Job, Quote
from shopapp.jobs.services.acceptance import accept_quote, decline_quote
from shopapp.roles import needs


@needs("quotes.send")
@require_http_methods(["GET", "HEAD", "POST"])
def quote_answer(request: HttpRequest, pk: int) -> HttpResponse:
    """Record the customer's answer."""
    rows = Quote.objects.select_related("shop", "boat", "customer", "run", "enquiry")
    quote = get_for(request, rows, pk=pk)
    form = AnswerForm(request.POST or None, quote=quote, initial={"name": quote.customer.name})
    if request.method == "POST" and form.is_valid():
        try:
            job = _record(request, quote, form.cleaned_data)
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, f"Job {job} is opened." if job else "The no is written down.")
            return redirect("jobs:quote", pk=pk)
    facts = {"quote": quote, "form": form}
    return render(request, "jobs/quote_answer.html", facts, status=422 if form.errors else 200)


def _record(request: HttpRequest, quote: Quote, said: dict) -> Job | None:
    by, name, note = request.user, said["name"], said["note"]
    if said["answer"] == "no":
        decline_quote(quote=quote, name=name, reason=note, address=None, by=by)
        return None
    option = said["option"]
    return accept_quote(quote=quote, option=option, name=name, address=None, by=by, note=note)
