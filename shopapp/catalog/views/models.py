"""Pages of equipment models."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from shopapp.accounts.access import get_for
from shopapp.catalog import queries
from shopapp.catalog.forms.models import ModelForm
from shopapp.catalog.forms.sheets import ModelSheets
from shopapp.catalog.models import EquipmentModel, Kind
from shopapp.catalog.services import models as services
from shopapp.catalog.views.common import read_or_send, set_retired
from shopapp.errors import FactRefused, InUse
from shopapp.roles import needs
from shopapp.ui.history import changes_of
from shopapp.ui.lists import list_page


@needs("catalog.see")
@require_GET
def models(request: HttpRequest) -> HttpResponse:
    """All models, by words, kind, maker and lifecycle."""
    shop = request.user.shop
    facts = {
        "page": list_page(request, queries.models_found(shop, request.GET)),
        "kinds": Kind.choices,
        "lifecycles": EquipmentModel.Lifecycle.choices,
        "makers": shop.makers.current(),
        "asked": request.GET,
    }
    return render(request, "catalog/models.html", facts)


@needs("catalog.see")
@require_GET
def model(request: HttpRequest, pk: int) -> HttpResponse:
    """One model: facts, firmware, lights, successors, what is said of it, where it is used."""
    rows = EquipmentModel.objects.for_cards().select_related("part__supplier", "ships_with")
    row = get_for(request, rows, pk=pk)
    statements = list(queries.statements_on(row)[: queries.STATEMENTS_SHOWN + 1])
    facts = {
        "model": row,
        "releases": row.releases.all(),
        "updates": row.updates.select_related("from_release", "to_release"),
        "lights": row.lights.all(),
        "successors": row.successors.select_related("family__maker"),
        "predecessors": row.predecessors.all(),
        "statements": statements[: queries.STATEMENTS_SHOWN],
        "more_statements": len(statements) > queries.STATEMENTS_SHOWN,
        "boats": queries.boats_with(row),
        "changes": changes_of(row, limit=15),
    }
    return render(request, "catalog/model.html", facts)


@needs("catalog.see")
@require_GET
def changes(request: HttpRequest, pk: int) -> HttpResponse:
    """Who changed what of a model and its sheets, and when."""
    row = get_for(request, EquipmentModel, pk=pk)
    facts = {"model": row, "changes": queries.all_changes(row)}
    return render(request, "catalog/model_changes.html", facts)


@needs("catalog.edit")
@read_or_send
def add(request: HttpRequest) -> HttpResponse:
    """Add a model, blank or like another (`?like=`)."""
    like = None
    if request.GET.get("like", "").isdecimal():
        like = get_for(request, EquipmentModel, pk=int(request.GET["like"]))
    row = copy_of(like) if like and request.method != "POST" else EquipmentModel()
    return _edit(request, row, like=like)


def copy_of(model: EquipmentModel) -> EquipmentModel:
    """An unsaved model with all facts of another but its names and its part."""
    row = EquipmentModel.objects.get(pk=model.pk)
    row.pk, row.code, row.name = None, "", ""
    row.part = row.ships_with = row.retired_at = None
    row._state.adding = True
    return row


@needs("catalog.edit")
@read_or_send
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Edit a model and its sheets on one page."""
    return _edit(request, get_for(request, EquipmentModel, pk=pk))


def _edit(
    request: HttpRequest, row: EquipmentModel, like: EquipmentModel | None = None
) -> HttpResponse:
    name, shop = row.name, request.user.shop
    named = queries.statement_numbers(row)
    form = ModelForm(request.POST or None, request=request, instance=row, shop=shop, named_by=named)
    sheets = ModelSheets(request, model=row, like=like)
    if request.method == "POST" and _is_valid(form, sheets, row) and _saved(form, sheets):
        messages.success(request, f"{row} is saved.")
        return redirect("catalog:model", row.pk)
    sent = request.method == "POST"
    facts = {"form": form, "sheets": sheets, "row": row, "name": name, "like": like, "sent": sent}
    return render(request, "catalog/model_edit.html", facts, status=422 if sent else 200)


def _is_valid(form: ModelForm, sheets: ModelSheets, row: EquipmentModel) -> bool:
    right = form.is_valid()
    return (
        sheets.is_valid(
            kind=form.cleaned_data.get("kind", ""),
            in_use=queries.releases_aboard(row),
            named=queries.releases_named(row),
        )
        and right
    )


def _saved(form: ModelForm, sheets: ModelSheets) -> bool:
    new = form.instance.pk is None
    try:
        services.save_model(
            model=form.instance,
            releases=sheets.releases.rows(),
            updates=sheets.updates.rows(),
            lights=sheets.lights.rows(),
            successors=[row["model"] for row in sheets.successors.rows()],
            struck=sheets.releases.struck_pks(),
        )
    except FactRefused as error:
        form.refuse(error)
        if new:
            form.instance.pk = None
        return False
    return True


@needs("catalog.edit")
@require_POST
def retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a model out of the lists that people choose from, or bring it back."""
    row = get_for(request, EquipmentModel, pk=pk)
    set_retired(request, row, retired=request.POST.get("retired") == "yes")
    return redirect("catalog:model", row.pk)


@needs("catalog.edit")
@require_POST
def delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a model that was never used; one in use is offered for retirement instead."""
    row = get_for(request, EquipmentModel, pk=pk)
    name = str(row)
    try:
        services.delete_model(model=row)
    except InUse as error:
        facts = {"error": error, "row": row, "retire": "catalog:model_retire"}
        return render(request, "catalog/in_use.html", facts, status=error.status)
    messages.success(request, f"{name} is deleted; nothing referred to it.")
    return redirect("catalog:models")
