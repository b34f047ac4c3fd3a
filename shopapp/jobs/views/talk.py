"""The shop's answers to what customers ask about a quote."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused
from shopapp.jobs.forms.customer import ReplyForm
from shopapp.jobs.models import Quote
from shopapp.jobs.services.talk import answer_question
from shopapp.roles import needs


@needs("quotes.send")
@require_POST
def quote_reply(request: HttpRequest, pk: int) -> HttpResponse:
    """Answer the customer; a letter says so."""
    quote = get_for(request, Quote, pk=pk)
    form = ReplyForm(request.POST)
    if not form.is_valid():
        words = " ".join(form.errors.get("text", ["Load the page again, then answer."]))
        raise FactRefused(words, field="text")
    answer_question(quote=quote, by=request.user, **form.cleaned_data)
    messages.success(request, "The answer stands on the customer's page.")
    return redirect(f"{reverse('jobs:quote', args=[pk])}#talk")
