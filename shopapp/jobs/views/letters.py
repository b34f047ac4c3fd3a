"""Letters as they were sent."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from shopapp.accounts.access import get_for
from shopapp.jobs.models import Letter
from shopapp.jobs.services.letters import send_again
from shopapp.roles import needs


@needs("quotes.send")
@require_GET
def letter(request: HttpRequest, pk: int) -> HttpResponse:
    """One letter: to whom, what it says, when it went, what came of it."""
    row = get_for(request, Letter.objects.select_related("quote", "paper", "by"), pk=pk)
    return render(request, "jobs/letter.html", {"letter": row})


@needs("quotes.send")
@require_GET
def letter_state(request: HttpRequest, pk: int) -> HttpResponse:
    """One line of the list of letters, for a page that watches it go out."""
    row = get_for(request, Letter.objects.select_related("by"), pk=pk)
    return render(request, "jobs/_letter.html", {"letter": row})


@needs("quotes.send")
@require_POST
def letter_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Send a letter again that failed."""
    row = get_for(request, Letter, pk=pk)
    send_again(letter=row)
    messages.success(request, f"The letter to {row.to} is on its way again.")
    return redirect("jobs:letter", pk=pk)
