"""Pages of makers, their families, and the labour table."""

from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from shopapp.accounts.access import get_for
from shopapp.catalog import queries
from shopapp.catalog.forms.makers import FamilyForm, LabourForm, MakerForm
from shopapp.catalog.models import Family, LabourTask, Maker
from shopapp.catalog.services.makers import save_family, save_maker
from shopapp.catalog.views.common import edit_page, read_or_send, set_retired
from shopapp.roles import needs
from shopapp.ui.history import changes_of
from shopapp.ui.lists import list_page


def _maker_page(row: Model) -> str:
    return reverse("catalog:maker", args=[row.pk])


@needs("catalog.see")
@require_GET
def makers(request: HttpRequest) -> HttpResponse:
    """Makers with their families."""
    rows = queries.makers_with_counts(request.user.shop)
    retired = request.GET.get("retired") == "yes"
    rows = rows.filter(retired_at__isnull=not retired)
    for word in request.GET.get("q", "").split():
        rows = rows.filter(name__icontains=word)
    facts = {"page": list_page(request, rows), "retired": retired}
    return render(request, "catalog/makers.html", facts)


@needs("catalog.see")
@require_GET
def maker(request: HttpRequest, pk: int) -> HttpResponse:
    """One maker with its families."""
    row = get_for(request, Maker, pk=pk)
    facts = {
        "maker": row,
        "families": queries.families_of(row),
        "changes": changes_of(row, limit=15),
    }
    return render(request, "catalog/maker.html", facts)


@needs("catalog.edit")
@read_or_send
def maker_add(request: HttpRequest) -> HttpResponse:
    """Add a maker."""
    return _edit_maker(request, Maker())


@needs("catalog.edit")
@read_or_send
def maker_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Edit a maker."""
    return _edit_maker(request, get_for(request, Maker, pk=pk))


def _edit_maker(request: HttpRequest, row: Maker) -> HttpResponse:
    name = row.name
    form = MakerForm(request.POST or None, instance=row, shop=request.user.shop)
    return edit_page(
        request,
        "catalog/maker_edit.html",
        form=form,
        save=lambda: save_maker(maker=form.instance),
        saved=_maker_page,
        row=row,
        name=name,
    )


@needs("catalog.edit")
@require_POST
def maker_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Retire a maker or bring it back."""
    row = get_for(request, Maker, pk=pk)
    set_retired(request, row, retired=request.POST.get("retired") == "yes")
    return redirect("catalog:maker", row.pk)


@needs("catalog.edit")
@read_or_send
def family_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a family to a maker."""
    return _edit_family(request, Family(maker=get_for(request, Maker, pk=pk)))


@needs("catalog.edit")
@read_or_send
def family_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Edit a family."""
    rows = Family.objects.select_related("maker")
    return _edit_family(request, get_for(request, rows, path="maker__shop", pk=pk))


def _edit_family(request: HttpRequest, row: Family) -> HttpResponse:
    name = row.name
    form = FamilyForm(request.POST or None, instance=row)
    return edit_page(
        request,
        "catalog/family_edit.html",
        form=form,
        save=lambda: save_family(family=form.instance),
        saved=lambda family: _maker_page(family.maker),
        row=row,
        name=name,
        changes=changes_of(row, limit=10) if row.pk else [],
    )


@needs("catalog.edit")
@require_POST
def family_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Retire a family or bring it back."""
    rows = Family.objects.select_related("maker")
    row = get_for(request, rows, path="maker__shop", pk=pk)
    set_retired(request, row, retired=request.POST.get("retired") == "yes")
    return redirect("catalog:maker", row.maker_id)


@needs("catalog.see")
@require_GET
def labour(request: HttpRequest) -> HttpResponse:
    """The labour table."""
    retired = request.GET.get("retired") == "yes"
    rows = queries.labour_found(request.user.shop, request.GET.get("q", ""), retired=retired)
    page = list_page(request, rows, per_page=100)
    return render(request, "catalog/labour.html", {"page": page, "retired": retired})


@needs("catalog.edit")
@read_or_send
def labour_add(request: HttpRequest) -> HttpResponse:
    """Add a row to the labour table."""
    return _edit_labour(request, LabourTask())


@needs("catalog.edit")
@read_or_send
def labour_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Edit a row of the labour table."""
    return _edit_labour(request, get_for(request, LabourTask, pk=pk))


def _edit_labour(request: HttpRequest, row: LabourTask) -> HttpResponse:
    name = str(row) if row.pk else ""
    form = LabourForm(request.POST or None, instance=row, shop=request.user.shop)
    return edit_page(
        request,
        "catalog/labour_edit.html",
        form=form,
        save=form.save,
        saved=lambda _: reverse("catalog:labour"),
        row=row,
        name=name,
        changes=changes_of(row, limit=10) if row.pk else [],
    )


@needs("catalog.edit")
@require_POST
def labour_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Retire a row of the labour table or bring it back."""
    row = get_for(request, LabourTask, pk=pk)
    set_retired(request, row, retired=request.POST.get("retired") == "yes")
    return redirect("catalog:labour")
