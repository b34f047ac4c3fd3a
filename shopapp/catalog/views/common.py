"""What the pages of the catalogue do alike."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.db.models import Model
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from shopapp.catalog.services.retiring import restore, retire
from shopapp.errors import FactRefused

read_or_send = require_http_methods(["GET", "HEAD", "POST"])


def edit_page(
    request: HttpRequest,
    template: str,
    *,
    form: BaseForm,
    save: Callable[[], Model],
    saved: Callable[[Model], str],
    **facts: Any,
) -> HttpResponse:
    """Show a form, or save it and go to `saved(row)`; a refused fact stands beside its field."""
    if request.method == "POST" and form.is_valid():
        try:
            row = save()
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, f"{row} is saved.")
            return redirect(saved(row))
    status = 422 if form.errors else 200
    return render(request, template, {"form": form, **facts}, status=status)


def set_retired(request: HttpRequest, row: Model, *, retired: bool) -> None:
    """Retire or bring back, and say so."""
    if retired:
        retire(row=row)
        messages.success(request, f"{row} is retired. It can be brought back here at any time.")
    else:
        restore(row=row)
        messages.success(request, f"{row} is back in the lists.")
