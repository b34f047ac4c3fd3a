"""One unit's page, its state, and the search by serial number."""

from django.contrib import messages
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.accounts.models import Shop
from shopapp.boats.forms.seen import SeenForm
from shopapp.boats.forms.units import StateForm, one_unit_form
from shopapp.boats.marks import load_marks
from shopapp.boats.models import Unit
from shopapp.boats.page import unit_facts
from shopapp.boats.services.places import Row
from shopapp.boats.services.units import delete_unit, move_unit, save_units
from shopapp.errors import FactRefused
from shopapp.roles import needs
from shopapp.ui.history import changes_of
from shopapp.ui.lists import list_page

read_or_send = require_http_methods(["GET", "HEAD", "POST"])
ALL = Unit.objects.select_related(
    "boat__customer", "model__family__maker", "release", "location", "bank"
)


def own_unit(request: HttpRequest, pk: int) -> Unit:
    """The shop's unit of that number, else 404."""
    return get_for(request, ALL, pk=pk, path="boat__shop")


@needs("boats.see")
@require_GET
def units(request: HttpRequest) -> HttpResponse:
    """Units by the beginning of their serial number, or all with one that is asked for."""
    text = request.GET.get("q", "").strip()
    rows = units_of_serial(request.user.shop, text) if text else Unit.objects.none()
    return render(request, "boats/units.html", {"page": list_page(request, rows), "text": text})


def units_of_serial(shop: Shop, text: str) -> QuerySet[Unit]:
    """Units of the shop's boats whose serial begins so, in the writing given or in capitals.

    A range over the index: a search inside serials would read every unit of the fleet.
    """
    found = Q()
    for start in {text, text.upper()}:
        found |= Q(serial__gte=start, serial__lt=f"{start}\uffff")
    return ALL.of(shop).filter(found).order_by("serial", "pk")


@needs("boats.see")
@require_GET
def unit(request: HttpRequest, pk: int) -> HttpResponse:
    """One unit: its values with their marks, all its evidence, its changes."""
    row = own_unit(request, pk)
    facts = {
        "unit": row,
        "boat": row.boat,
        "line": unit_facts(row, load_marks(row.boat, unit=pk)),
        "ends": row.cable_ends.select_related("cable__part", "location"),
        "evidence": row.evidence.select_related("by")[:60],
        "states": [state for state in Unit.State.choices if state[0] != row.state],
        "seen": SeenForm(request=request),
        "changes": changes_of(row, limit=30),
    }
    return render(request, "boats/unit.html", facts)


@needs("boats.edit")
@read_or_send
def edit_unit(request: HttpRequest, pk: int) -> HttpResponse:
    """Edit all values of one unit under one evidence bar."""
    row = own_unit(request, pk)
    data = request.POST if request.method == "POST" else None
    form, seen = one_unit_form(row, data, request), SeenForm(data, request=request)
    if data is not None and all([form.is_valid(), seen.is_valid()]):
        changes = Row(row.pk, form.values(), form.changed())
        try:
            kept = save_units(boat=row.boat, units=[changes], seen=seen.seen(request.user))
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, f"{form.cleaned_data['name']} is saved.")
            if kept:
                messages.warning(request, "Stronger evidence kept a value; settle it here.")
            return redirect("boats:unit", pk)
    facts = {"unit": row, "boat": row.boat, "form": form, "seen": seen}
    return render(request, "boats/unit_edit.html", facts, status=200 if data is None else 422)


@needs("boats.edit")
@require_POST
def set_state(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that a unit was removed, went to the bench, was stolen, or is fitted again."""
    row = own_unit(request, pk)
    form, seen = StateForm(request.POST), SeenForm(request.POST, request=request)
    if not (form.is_valid() and seen.is_valid()):
        raise FactRefused("Choose what became of the unit.", field="state")
    move_unit(unit=row, state=form.cleaned_data["state"], seen=seen.seen(request.user))
    messages.success(request, f"{row} is now: {row.get_state_display().lower()}.")
    return redirect("boats:unit", pk)


@needs("boats.retire")
@read_or_send
def delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a unit entered by mistake; asks first."""
    row = own_unit(request, pk)
    if request.method != "POST":
        return render(request, "boats/unit_delete.html", {"unit": row, "boat": row.boat})
    delete_unit(unit=row)
    messages.info(request, f"{row} is deleted from {row.boat}.")
    return redirect("boats:boat", row.boat_id)
