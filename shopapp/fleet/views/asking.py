"""Ask the fleet: the question, the boats, and the list as a file."""

import csv
import tempfile
from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.db.models import Q
from django.http import FileResponse, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST
from openpyxl import Workbook

from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused
from shopapp.fleet.ask_forms import AskForm, KeepForm
from shopapp.fleet.asking import COLUMNS, at_most, boats_asked, table_rows, with_units
from shopapp.fleet.models import Question
from shopapp.roles import needs
from shopapp.ui.lists import list_page

SHEET_ROWS = 20_000
SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def _form(request: HttpRequest) -> AskForm:
    asked = {name for name in request.GET if name != "page"}
    return AskForm(request.GET if asked else None, request=request)


@needs("fleet.see")
@require_GET
def ask(request: HttpRequest) -> HttpResponse:
    """The question; with one asked, how many boats meet it, and these a page at a time."""
    form = _form(request)
    facts: dict[str, Any] = {
        "form": form,
        "keep": KeepForm(request=request, initial={"asked": request.GET.urlencode()}),
        "kept": _kept(request),
        "sheet_rows": SHEET_ROWS,
    }
    if form.is_bound and form.is_valid():
        rows = boats_asked(request.user.shop, form.cleaned_data)
        counted = boats_asked(request.user.shop, form.cleaned_data, counting=True)
        page = list_page(request, with_units(rows))
        shown = [COLUMNS[name] for name in form.cleaned_data["columns"]]
        facts |= {
            "count": counted.order_by().count(),
            "page": page,
            "heads": [column.head for column in shown],
            "rows": [(boat, [column.text(boat) for column in shown]) for boat in page],
        }
    return render(request, "fleet/ask.html", facts, status=422 if form.errors else 200)


def _kept(request: HttpRequest) -> list[Question]:
    rows = Question.objects.of(request.user.shop_id).select_related("by")
    return list(rows.filter(Q(shared=True) | Q(by=request.user))[:50])


def _asked_for_file(request: HttpRequest) -> tuple[Any, list[str]]:
    form = AskForm(request.GET, request=request)
    if not form.is_valid():
        raise FactRefused(
            "The question cannot be answered as it stands.", todo="Put it right on its page."
        )
    rows = boats_asked(request.user.shop, form.cleaned_data)
    return rows, form.cleaned_data["columns"]


class _Line:
    """What csv writes into: gives each line back."""

    def write(self, line: str) -> str:
        return line


@needs("fleet.see")
@require_GET
def as_csv(request: HttpRequest) -> HttpResponse:
    """All boats of a question as CSV, streamed; cells are no formulas."""
    rows, columns = _asked_for_file(request)
    writer = csv.writer(_Line())

    def lines() -> Iterator[str]:
        yield "\ufeff"
        yield from (writer.writerow(row) for row in table_rows(rows, columns))

    page = StreamingHttpResponse(lines(), content_type="text/csv; charset=utf-8")
    page["Content-Disposition"] = f'attachment; filename="{_file_name("csv")}"'
    return page


@needs("fleet.see")
@require_GET
def as_spreadsheet(request: HttpRequest) -> HttpResponse:
    """The first twenty thousand boats of a question as a spreadsheet."""
    rows, columns = _asked_for_file(request)
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Boats")
    sheet.freeze_panes = "A2"
    for row in at_most(table_rows(rows, columns), SHEET_ROWS):
        sheet.append(row)
    # The answer closes the file once it is sent.
    file = tempfile.TemporaryFile()  # noqa: SIM115
    book.save(file)
    file.seek(0)
    return FileResponse(
        file, as_attachment=True, filename=_file_name("xlsx"), content_type=SHEET_TYPE
    )


def _file_name(ending: str) -> str:
    return f"boats-{timezone.localdate():%Y-%m-%d}.{ending}"


@needs("fleet.see")
@require_POST
def keep(request: HttpRequest) -> HttpResponse:
    """Keep a question under a name; the same name again replaces one's own."""
    form = KeepForm(request.POST, request=request)
    asked = request.POST.get("asked", "")[:2000]
    if not form.is_valid():
        messages.error(request, "Give the question a name, then keep it.")
        return redirect(f"{reverse('fleet:ask')}?{asked}")
    facts = form.cleaned_data
    Question.objects.update_or_create(
        by=request.user,
        name=facts["name"],
        defaults={
            "shop": request.user.shop,
            "asked": facts["asked"],
            "shared": facts["shared"],
            "kept_at": timezone.now(),
        },
    )
    messages.success(request, f"“{facts['name']}” is kept.")
    return redirect(f"{reverse('fleet:ask')}?{facts['asked']}")


@needs("fleet.see")
@require_POST
def drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Drop a question of one's own."""
    row = get_for(request, Question.objects.filter(by=request.user), pk=pk)
    row.delete()
    messages.success(request, f"“{row.name}” is dropped.")
    return redirect("fleet:ask")
