"""Pages of stock-taking, price files, and what a part's page keeps beside its price."""

from collections.abc import Callable

from django.contrib import messages
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.catalog.models import Part, Supplier
from shopapp.errors import FactRefused, UploadRefused
from shopapp.roles import needs
from shopapp.stock import price_files, stocktaking, supply
from shopapp.stock import store_forms as forms
from shopapp.stock.models import CountSheet, KitPart, PriceFile, Substitute
from shopapp.stock.queries import places_of, unexplained
from shopapp.ui.lists import list_page

read_or_send = require_http_methods(["GET", "HEAD", "POST"])
SHOWN = 200


@needs("parts.count")
@read_or_send
def counts(request: HttpRequest) -> HttpResponse:
    """Places with when each was last counted; begin a count; counts that are open."""
    shop, sent = request.user.shop, request.method == "POST"
    form = forms.CountOpenForm(request.POST if sent else None, request=request)
    if sent and form.is_valid():
        try:
            sheet = stocktaking.open_sheet(shop=shop, by=request.user, **form.cleaned_data)
        except FactRefused as error:
            form.refuse(error)
        else:
            return redirect("stock:count_sheet", sheet.pk)
    facts = {
        "form": form,
        "open": CountSheet.objects.of(shop).filter(state="open").select_related("made_by"),
        "places": list_page(request, places_of(shop)),
        "unexplained": unexplained(shop)[:20],
    }
    return render(request, "stock/counts.html", facts, status=422 if sent else 200)


def _sheet(request: HttpRequest, pk: int) -> CountSheet:
    return get_for(request, CountSheet.objects.select_related("made_by", "booked_by"), pk=pk)


@needs("parts.count")
@read_or_send
def count_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """One sheet: counted as far as it goes is kept; booked once all of it is explained."""
    sheet, sent = _sheet(request, pk), request.method == "POST"
    form = forms.SheetForm(request.POST if sent else None, request=request, sheet=sheet)
    if sent and form.is_valid():
        try:
            stocktaking.write_counts(sheet=sheet, counts=form.counts())
            if request.POST.get("book"):
                changed = stocktaking.book_sheet(sheet=sheet, by=request.user)
                messages.success(request, f"Booked: {changed} differences.")
            else:
                messages.success(request, "Kept.")
        except FactRefused as error:
            form.refuse(error)
        else:
            return redirect("stock:count_sheet", pk)
    facts = {"sheet": sheet, "form": form, "found_form": forms.FoundForm(request=request)}
    facts["reasons"] = forms.REASONS
    return render(request, "stock/count_sheet.html", facts, status=422 if sent else 200)


@needs("parts.count")
@require_POST
def count_found(request: HttpRequest, pk: int) -> HttpResponse:
    """A part that lies there though the books do not say so."""
    sheet = _sheet(request, pk)
    form = forms.FoundForm(request.POST, request=request)
    if form.is_valid():
        row = stocktaking.add_found(sheet=sheet, part=form.cleaned_data["part"])
        messages.info(request, f"{row.stock.part.number} is on the sheet.")
        return redirect("stock:count_sheet", pk)
    facts = {"sheet": sheet, "form": forms.SheetForm(request=request, sheet=sheet)}
    facts |= {"found_form": form, "reasons": forms.REASONS}
    return render(request, "stock/count_sheet.html", facts, status=422)


@needs("parts.count")
@require_POST
def count_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Throw a sheet away."""
    stocktaking.drop_sheet(sheet=_sheet(request, pk))
    messages.info(request, "The count is dropped; nothing was booked.")
    return redirect("stock:counts")


@needs("parts.edit")
@read_or_send
def price_file_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Send a supplier's price file; it is looked at before it counts."""
    supplier = get_for(request, Supplier, pk=pk)
    sent = request.method == "POST"
    form = forms.PriceFileForm(
        request.POST if sent else None, request.FILES if sent else None, request=request
    )
    if sent and form.is_valid():
        upload = form.cleaned_data["file"]
        try:
            body = _body(upload)
            kept = price_files.keep_file(
                supplier=supplier, name=upload.name, body=body, by=request.user
            )
        except FactRefused as error:
            form.refuse(error)
        else:
            return redirect("stock:price_file", kept.pk)
    facts = {"supplier": supplier, "form": form}
    facts["earlier"] = supplier.price_files.select_related("by").defer("text")[:10]
    return render(request, "stock/price_file_add.html", facts, status=422 if sent else 200)


def _body(upload: object) -> bytes:
    if upload.size > price_files.MOST_BYTES:
        raise UploadRefused(
            f"The file has {upload.size:,} bytes; {price_files.MOST_BYTES:,} are taken.",
            field="file",
        )
    return upload.read()


@needs("parts.edit")
@read_or_send
def price_file(request: HttpRequest, pk: int) -> HttpResponse:
    """What a file would change, and every cell that is broken; then taken whole, or dropped."""
    row = get_for(request, PriceFile.objects.select_related("supplier", "by"), pk=pk)
    if request.method == "POST":
        if request.POST.get("drop"):
            price_files.drop_file(price_file=row)
            return redirect("stock:price_file_add", row.supplier_id)
        changed = price_files.take_file(price_file=row, by=request.user)
        messages.success(request, f"Taken: {changed} prices are new or changed.")
        return redirect("stock:price_file", pk)
    found = price_files.read_file(row)
    facts = {
        "file": row,
        "found": found,
        "changes": [one for one in found.rows if one.changes][:SHOWN],
        "changed": sum(one.changes for one in found.rows),
        "broken": found.broken[:SHOWN],
        "unknown": found.unknown[:SHOWN],
    }
    return render(request, "stock/price_file.html", facts)


@needs("parts.see")
@require_GET
def part_supply(request: HttpRequest, pk: int) -> HttpResponse:
    """Who sells a part, what does the same, what a kit holds; its boxes; move it."""
    return _supply_page(request, _part(request, pk))


def _part(request: HttpRequest, pk: int) -> Part:
    return get_for(request, Part.objects.select_related("supplier"), pk=pk)


FORMS = {
    "price_form": forms.PriceForm,
    "substitute_form": forms.SubstituteForm,
    "kit_form": forms.KitForm,
    "move_form": forms.MoveForm,
}


def _supply_page(
    request: HttpRequest, part: Part, *, status: int = 200, **facts: object
) -> HttpResponse:
    found = {name: form(request=request) for name, form in FORMS.items()}
    found |= {
        "part": part,
        "prices": part.supplier_prices.select_related("supplier"),
        "substitutes": part.substitutes.select_related("other"),
        "kit_parts": part.kit_parts.select_related("part"),
        "in_kits": part.in_kits.select_related("kit"),
        "pieces": part.boxes.select_related("stock").order_by("state", "serial")[:SHOWN],
        "stock": part.stock.all(),
        "coming": part.purchase_lines.filter(
            order__state__in=["sent", "confirmed", "part_received"]
        ).select_related("order__supplier"),
    }
    return render(request, "stock/part_supply.html", found | facts, status=status)


def _act(
    request: HttpRequest, pk: int, name: str, act: Callable[[Part, BaseForm], object]
) -> HttpResponse:
    part = _part(request, pk)
    form = FORMS[name](request.POST, request=request)
    if form.is_valid():
        try:
            act(part, form)
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, "Written down.")
            return redirect("stock:part_supply", pk)
    return _supply_page(request, part, status=422, **{name: form})


@needs("parts.edit")
@require_POST
def part_price(request: HttpRequest, pk: int) -> HttpResponse:
    """What a supplier asks for the part."""
    return _act(
        request,
        pk,
        "price_form",
        lambda part, form: supply.set_price(part=part, **form.cleaned_data),
    )


@needs("parts.edit")
@require_POST
def part_substitute(request: HttpRequest, pk: int) -> HttpResponse:
    """What does the same."""
    return _act(
        request,
        pk,
        "substitute_form",
        lambda part, form: supply.say_substitute(part=part, **form.cleaned_data),
    )


@needs("parts.edit")
@require_POST
def part_kit(request: HttpRequest, pk: int) -> HttpResponse:
    """One part of the kit."""
    return _act(
        request, pk, "kit_form", lambda part, form: supply.put_in_kit(kit=part, **form.cleaned_data)
    )


@needs("parts.edit")
@require_POST
def part_move(request: HttpRequest, pk: int) -> HttpResponse:
    """Carry pieces from one place to another."""
    return _act(
        request,
        pk,
        "move_form",
        lambda part, form: supply.move_pieces(part=part, by=request.user, **form.cleaned_data),
    )


@needs("parts.edit")
@require_POST
def part_unsay(request: HttpRequest, pk: int, what: str, row: int) -> HttpResponse:
    """Take a substitute or a kit's part off again."""
    part = _part(request, pk)
    rows = {"substitute": Substitute.objects.filter(part=part)}.get(
        what, KitPart.objects.filter(kit=part)
    )
    rows.filter(pk=row).delete()
    return redirect("stock:part_supply", pk)
