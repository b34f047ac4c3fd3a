"""The weekly sheets."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from shopapp.fleet.services.weekly import day_at, last_sunday, make_now
from shopapp.jobs.models import Document, FleetSheet
from shopapp.roles import needs
from shopapp.ui.lists import list_page


@needs("fleet.see")
@require_GET
def weekly(request: HttpRequest) -> HttpResponse:
    """The sheets with their papers, the newest first."""
    page = list_page(request, FleetSheet.objects.of(request.user.shop))
    papers = {
        paper.sheet_id: paper
        for paper in Document.objects.filter(sheet__in=[row.pk for row in page]).order_by("version")
    }
    ends_on = last_sunday(day_at(request.user.shop).date())
    there = FleetSheet.objects.of(request.user.shop).filter(ends_on=ends_on)
    facts = {
        "page": page,
        "rows": [(row, papers.get(row.pk)) for row in page],
        "is_there": there.exists(),
    }
    return render(request, "fleet/weekly.html", facts)


@needs("fleet.edit")
@require_POST
def weekly_make(request: HttpRequest) -> HttpResponse:
    """Write last week's sheet without waiting for the clock."""
    make_now(shop=request.user.shop)
    messages.success(request, "Written; its paper is being made.")
    return redirect("fleet:weekly")
