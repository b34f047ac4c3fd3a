"""Boats that are not right today, and the checks behind that."""

from typing import Any

from django.contrib import messages
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from planner.models import Statement
from shopapp.fleet.models import BoatStanding, Recheck
from shopapp.fleet.services.rechecks import recheck_all
from shopapp.roles import needs
from shopapp.ui.lists import list_page

STATES = {"wrong": "Not right", "not_known": "Not known"}
CHECKS_SHOWN = 5


@needs("fleet.see")
@require_GET
def not_right(request: HttpRequest) -> HttpResponse:
    """Boats that a statement in force stands against, the newest first, with the reasons."""
    shop = request.user.shop
    state = request.GET.get("state", "wrong")
    state = state if state in STATES else "wrong"
    rows = BoatStanding.objects.of(shop).filter(state=state, boat__retired_at__isnull=True)
    if request.GET.get("statement"):
        rows = rows.filter(reasons__icontains=f'"{request.GET["statement"]}"')
    page = list_page(request, rows.select_related("boat__customer"))
    codes = {code for row in page for code, _ in row.reasons}
    words = dict(Statement.objects.of(shop).filter(code__in=codes).values_list("code", "text"))
    facts = {
        "page": page,
        "rows": [(row, _reasons(row, words)) for row in page],
        "state": state,
        "counts": _counts(request),
        "checks": _checks(request),
        "asked": request.GET,
    }
    return render(request, "fleet/not_right.html", facts)


def _reasons(row: BoatStanding, words: dict[str, str]) -> list[tuple[str, str, str]]:
    return [(code, words.get(code, ""), found) for code, found in row.reasons]


def _counts(request: HttpRequest) -> dict[str, int]:
    rows = BoatStanding.objects.of(request.user.shop).order_by().values_list("state")
    return dict(rows.annotate(Count("pk")))


def _checks(request: HttpRequest) -> dict[str, Any]:
    rows = list(Recheck.objects.of(request.user.shop).counted()[:CHECKS_SHOWN])
    return {"rows": rows, "running": any(row.parts_left for row in rows)}


@needs("fleet.see")
@require_GET
def checks(request: HttpRequest) -> HttpResponse:
    """How far the latest checks are; once all are over the page loads anew."""
    found = _checks(request)
    page = render(request, "fleet/_checks.html", {"checks": found})
    if not found["running"]:
        page["HX-Refresh"] = "true"
    return page


@needs("fleet.edit")
@require_POST
def check(request: HttpRequest) -> HttpResponse:
    """Have every boat in service checked anew."""
    row = recheck_all(shop=request.user.shop, why=f"All boats, asked by {request.user}")
    words = "Every boat is being checked." if row else "There is no boat to check."
    messages.success(request, words)
    return redirect("fleet:not_right")
