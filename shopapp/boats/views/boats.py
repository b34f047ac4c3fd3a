"""The list of boats, the boat's sheet, and what is done with a boat as a whole."""

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.boats.aboard import load_aboard
from shopapp.boats.drawing import draw_boat, sheet_rows
from shopapp.boats.forms.boats import SaleForm
from shopapp.boats.marks import load_marks
from shopapp.boats.models import Boat
from shopapp.boats.page import sheet_facts
from shopapp.boats.picture import as_is
from shopapp.boats.services import boats as services
from shopapp.errors import FactRefused
from shopapp.roles import needs
from shopapp.ui.history import changes_of
from shopapp.ui.lists import list_page

read_or_send = require_http_methods(["GET", "HEAD", "POST"])


def own_boat(request: HttpRequest, pk: int) -> Boat:
    """The shop's boat of that number with its owner, else 404."""
    return get_for(request, Boat.objects.select_related("customer"), pk=pk)


@needs("boats.see")
@require_GET
def boats(request: HttpRequest) -> HttpResponse:
    """The list, by name, owner, hull number, registration, berth; filtered by kind, marina."""
    facts = {
        "page": list_page(request, _asked(request)),
        "kinds": Boat.BoatKind.choices,
        "kind": request.GET.get("kind", ""),
        "marina": request.GET.get("marina", ""),
        "retired": request.GET.get("retired") == "1",
    }
    return render(request, "boats/boats.html", facts)


def _asked(request: HttpRequest) -> QuerySet[Boat]:
    asked = request.GET
    rows = Boat.objects.of(request.user.shop_id).select_related("customer")
    rows = rows.filter(retired_at__isnull=asked.get("retired") != "1")
    rows = rows.matching(asked.get("q", ""))
    if asked.get("kind") in Boat.BoatKind.values:
        rows = rows.filter(kind=asked["kind"])
    if asked.get("marina"):
        rows = rows.filter(marina__icontains=asked["marina"])
    return rows.defer("note", "access")


@needs("boats.see")
@require_GET
def boat(request: HttpRequest, pk: int) -> HttpResponse:
    """The boat's sheet."""
    row = own_boat(request, pk)
    aboard = load_aboard(row)
    sheet = as_is(aboard)
    facts = {
        "boat": row,
        "tab": "sheet",
        "drawing": draw_boat(sheet, key="boat", width=760) if sheet.places else "",
        "drawing_rows": sheet_rows(sheet),
        **sheet_facts(row, aboard, load_marks(row)),
    }
    return render(request, "boats/boat.html", facts)


@needs("boats.see")
@require_GET
def work(request: HttpRequest, pk: int) -> HttpResponse:
    """Quotes, jobs and problems of a boat."""
    row = own_boat(request, pk)
    facts = {
        "boat": row,
        "tab": "work",
        "quotes": row.quotes.select_related("customer").order_by("-made_at", "-pk")[:50],
        "jobs": row.jobs.order_by("-pk")[:50],
        "problems": row.problems.order_by("-pk")[:50],
    }
    return render(request, "boats/work.html", facts)


@needs("boats.see")
@require_GET
def history(request: HttpRequest, pk: int) -> HttpResponse:
    """Owners, units that left, all evidence, and who changed what."""
    row = own_boat(request, pk)
    gone = row.units.filter(state__in=["removed", "stolen", "bench"]).for_sheet()
    facts = {
        "boat": row,
        "tab": "history",
        "owners": row.ownerships.select_related("customer"),
        "gone": gone,
        "page": list_page(
            request,
            row.evidence.select_related(
                "by", "unit", "cable", "bank", "location", "backbone", "route__a", "route__b"
            ),
        ),
        "changes": changes_of(row, limit=30),
    }
    return render(request, "boats/history.html", facts)


@needs("boats.edit")
@read_or_send
def sell(request: HttpRequest, pk: int) -> HttpResponse:
    """Note a sale: the history stays with the boat."""
    row = own_boat(request, pk)
    form = SaleForm(request.POST or None, request=request)
    if request.method == "POST" and form.is_valid():
        try:
            services.sell_boat(boat=row, **form.cleaned_data)
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, f"{row} belongs to {form.cleaned_data['to']} now.")
            return redirect("boats:boat", pk)
    status = 422 if form.errors else 200
    return render(request, "boats/sell.html", {"boat": row, "form": form}, status=status)


@needs("boats.retire")
@require_POST
def retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a boat out of the lists."""
    row = own_boat(request, pk)
    services.retire_boat(boat=row)
    messages.info(request, f"{row} is retired. Press “Restore” to take that back.")
    return redirect("boats:boat", pk)


@needs("boats.retire")
@require_POST
def restore(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a retired boat back."""
    row = own_boat(request, pk)
    services.restore_boat(boat=row)
    messages.success(request, f"{row} is back in the list.")
    return redirect("boats:boat", pk)


@needs("boats.retire")
@read_or_send
def delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a boat that nothing refers to; asks first."""
    row = own_boat(request, pk)
    if request.method != "POST":
        return render(request, "boats/delete.html", {"boat": row})
    services.delete_boat(boat=row)
    messages.info(request, f"{row} is deleted.")
    return redirect("boats:boats")
