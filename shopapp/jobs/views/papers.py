"""Pages of papers: ask for one, watch it being made, open it."""

from django.core.exceptions import PermissionDenied
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from shopapp.accounts.access import get_for
from shopapp.jobs.documents.facts import facts_changed
from shopapp.jobs.documents.files import open_paper
from shopapp.jobs.models import Document, FleetSheet, Job, Quote, Survey
from shopapp.jobs.queries import PAPERS_OF, PAPERS_OF_QUOTE, paper_of
from shopapp.jobs.services.papers import request_document
from shopapp.roles import may, needs
from shopapp.stock.models import PurchaseOrder

SUBJECTS = {
    "quote": Quote,
    "survey": Survey,
    "job": Job,
    "order": PurchaseOrder,
    "sheet": FleetSheet,
}


def _document(request: HttpRequest, pk: int) -> Document:
    document = get_for(request, Document.objects.select_related(*SUBJECTS), pk=pk)
    _check_prices(request, document.kind)
    return document


def _check_prices(request: HttpRequest, kind: str) -> None:
    if kind in PAPERS_OF_QUOTE and not may(request.user, "quotes.see"):
        raise PermissionDenied("quotes.see")
    if kind in PAPERS_OF["order"] and not may(request.user, "orders.see"):
        raise PermissionDenied("orders.see")
    if kind in PAPERS_OF["sheet"] and not may(request.user, "fleet.see"):
        raise PermissionDenied("fleet.see")


@needs("documents.see")
@require_GET
def paper(request: HttpRequest, pk: int) -> FileResponse:
    """The PDF itself."""
    return open_paper(_document(request, pk))


@needs("documents.see")
@require_GET
def paper_state(request: HttpRequest, pk: int) -> HttpResponse:
    """The paper's line; the page asks for it every second until it is ready or failed."""
    return render(request, "jobs/_paper.html", {"paper": paper_of(_document(request, pk))})


@needs("documents.see")
@require_GET
def paper_fresh(request: HttpRequest, pk: int) -> HttpResponse:
    """Whether the records have changed since the paper was made; asked once a page, late."""
    changed = facts_changed(_document(request, pk))
    return render(request, "jobs/_paper_fresh.html", {"changed": changed})


@needs("documents.make")
@require_POST
def paper_request(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Ask for the next version, or try a failed one again."""
    _check_prices(request, kind)
    name = next((one for one, kinds in PAPERS_OF.items() if kind in kinds), "job")
    subject = get_for(request, SUBJECTS[name], pk=pk)
    document = request_document(kind=kind, by=request.user, **{name: subject})
    if request.htmx:
        return render(request, "jobs/_paper.html", {"paper": paper_of(document)})
    if name == "sheet":
        return redirect("fleet:weekly")
    return redirect(f"jobs:{name}", pk=pk)
