"""Pages of parts, what lies on which shelf, and suppliers."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from shopapp.accounts.access import get_for
from shopapp.catalog.models import Part, Supplier
from shopapp.catalog.queries import part_uses
from shopapp.catalog.services.parts import newest_of, save_part, save_supplier
from shopapp.catalog.views.common import edit_page, read_or_send, set_retired
from shopapp.errors import FactRefused
from shopapp.roles import may, needs
from shopapp.stock import queries
from shopapp.stock.counts import correct_count
from shopapp.stock.forms import CountForm, PartForm, SupplierForm
from shopapp.ui.history import Change, changes_of
from shopapp.ui.lists import list_page

COST_LABEL = "Cost cents"


@needs("parts.see")
@require_GET
def parts(request: HttpRequest) -> HttpResponse:
    """All parts, by words, kind, supplier, and what is short."""
    facts = {
        "page": list_page(request, queries.parts_found(request.user.shop, request.GET)),
        "kinds": Part.PartKind.choices,
        "asked": request.GET,
    }
    return render(request, "stock/parts.html", facts)


@needs("parts.see")
@require_GET
def part(request: HttpRequest, pk: int) -> HttpResponse:
    """One part: price, stock by place, who needs it, its counts and changes."""
    return _part_page(request, _part(request, pk), CountForm())


def _part(request: HttpRequest, pk: int) -> Part:
    return get_for(request, Part.objects.select_related("supplier", "superseded_by"), pk=pk)


def _part_page(request: HttpRequest, row: Part, form: CountForm) -> HttpResponse:
    stock = list(row.stock.all())
    facts = {
        "part": row,
        "form": form,
        "stock": stock,
        "on_hand": sum(item.on_hand for item in stock),
        "reserved": sum(item.reserved for item in stock),
        "free": sum(item.free for item in stock),
        "newest": newest_of(row),
        "older": row.supersedes.all(),
        "uses": part_uses(row),
        "counts": queries.counts_of(row),
        "changes": _changes_for(request, row),
    }
    return render(request, "stock/part.html", facts, status=422 if form.errors else 200)


def _changes_for(request: HttpRequest, row: Part) -> list[Change]:
    changes = changes_of(row, limit=15)
    if not may(request.user, "catalog.costs"):
        for change in changes:
            change.fields[:] = [entry for entry in change.fields if entry[0] != COST_LABEL]
    return changes


@needs("parts.edit")
@require_POST
def count(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct what lies at a place, with a reason."""
    row = _part(request, pk)
    form = CountForm(request.POST)
    if form.is_valid():
        try:
            item = correct_count(part=row, by=request.user, **form.cleaned_data)
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, f"{item.place} now holds {item.on_hand} of {row.number}.")
            return redirect("stock:part", row.pk)
    return _part_page(request, row, form)


@needs("parts.edit")
@read_or_send
def part_add(request: HttpRequest) -> HttpResponse:
    """Add a part."""
    return _edit_part(request, Part())


@needs("parts.edit")
@read_or_send
def part_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Edit a part."""
    return _edit_part(request, _part(request, pk))


def _edit_part(request: HttpRequest, row: Part) -> HttpResponse:
    name = row.number
    form = PartForm(
        request.POST or None,
        request=request,
        instance=row,
        shop=request.user.shop,
        user=request.user,
    )
    return edit_page(
        request,
        "stock/part_edit.html",
        form=form,
        save=lambda: save_part(part=form.instance),
        saved=lambda part: reverse("stock:part", args=[part.pk]),
        row=row,
        name=name,
    )


@needs("parts.edit")
@require_POST
def part_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Retire a part or bring it back."""
    row = _part(request, pk)
    set_retired(request, row, retired=request.POST.get("retired") == "yes")
    return redirect("stock:part", row.pk)


@needs("parts.see")
@require_GET
def suppliers(request: HttpRequest) -> HttpResponse:
    """Where the shop buys."""
    retired = request.GET.get("retired") == "yes"
    words = request.GET.get("q", "")
    rows = queries.suppliers_found(request.user.shop, words, retired=retired)
    facts = {"page": list_page(request, rows), "retired": retired}
    return render(request, "stock/suppliers.html", facts)


@needs("parts.edit")
@read_or_send
def supplier_add(request: HttpRequest) -> HttpResponse:
    """Add a supplier."""
    return _edit_supplier(request, Supplier())


@needs("parts.edit")
@read_or_send
def supplier_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Edit a supplier."""
    return _edit_supplier(request, get_for(request, Supplier, pk=pk))


def _edit_supplier(request: HttpRequest, row: Supplier) -> HttpResponse:
    name = row.name
    form = SupplierForm(request.POST or None, instance=row, shop=request.user.shop)
    return edit_page(
        request,
        "stock/supplier_edit.html",
        form=form,
        save=lambda: save_supplier(supplier=form.instance),
        saved=lambda _: reverse("stock:suppliers"),
        row=row,
        name=name,
        changes=changes_of(row, limit=10) if row.pk else [],
    )


@needs("parts.edit")
@require_POST
def supplier_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Retire a supplier or bring it back."""
    row = get_for(request, Supplier, pk=pk)
    set_retired(request, row, retired=request.POST.get("retired") == "yes")
    return redirect("stock:suppliers")
