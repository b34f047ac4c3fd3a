"""Letters as they were sent."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from shopapp.accounts.access import get_for
from shopapp.jobs.models import Letter
from shopapp.jobs.models.letter import LetterQuerySet
from shopapp.jobs.services.letters import send_again
from shopapp.roles import needs


def _to_customers() -> LetterQuerySet:
    return Letter.objects.filter(order__isnull=True).select_related("quote", "paper", "by")


def _to_suppliers() -> LetterQuerySet:
    rows = Letter.objects.filter(order__isnull=False)
    return rows.select_related("order__supplier", "paper", "by")


@needs("quotes.send")
@require_GET
def letter(request: HttpRequest, pk: int) -> HttpResponse:
    """One letter to a customer: what it says, when it went, what came of it."""
    row = get_for(request, _to_customers(), pk=pk)
    return render(request, "jobs/letter.html", {"letter": row})


@needs("orders.see")
@require_GET
def order_letter(request: HttpRequest, pk: int) -> HttpResponse:
    """One letter to a supplier, with its order."""
    row = get_for(request, _to_suppliers(), pk=pk)
    return render(request, "jobs/letter.html", {"letter": row})


@needs("quotes.send")
@require_GET
def letter_state(request: HttpRequest, pk: int) -> HttpResponse:
    """One line of the list of letters, for a page that watches it go out."""
    row = get_for(request, _to_customers(), pk=pk)
    return render(request, "jobs/_letter.html", {"letter": row})


@needs("orders.see")
@require_GET
def order_letter_state(request: HttpRequest, pk: int) -> HttpResponse:
    """The same of a letter to a supplier."""
    row = get_for(request, _to_suppliers(), pk=pk)
    return render(request, "jobs/_letter.html", {"letter": row})


@needs("quotes.send")
@require_POST
def letter_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Send a letter again that failed."""
    return _again(request, get_for(request, _to_customers(), pk=pk))


@needs("orders.edit")
@require_POST
def order_letter_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Send a letter to a supplier again that failed."""
    return _again(request, get_for(request, _to_suppliers(), pk=pk))


def _again(request: HttpRequest, row: Letter) -> HttpResponse:
    send_again(letter=row)
    messages.success(request, f"The letter to {row.to} is on its way again.")
    return redirect(row.page, pk=row.pk)
