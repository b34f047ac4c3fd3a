"""The fleet's pages: which combinations fail, on how many boats of how many."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from shopapp.insights.fleet import boats_in, group_of, groups_of, months_ago
from shopapp.insights.rates import TOO_FEW
from shopapp.jobs.models import Problem
from shopapp.roles import needs
from shopapp.ui.lists import list_page

PERIODS = {"": None, "3": 3, "12": 12, "24": 24}


def _since(request: HttpRequest) -> object:
    months = PERIODS.get(request.GET.get("months", ""))
    return months_ago(months) if months else None


@needs("fleet.see")
@require_GET
def fleet(request: HttpRequest) -> HttpResponse:
    """Groups of problems ranked by how sure their rate is high."""
    groups = groups_of(request.user.shop, since=_since(request))
    words = request.GET.get("q", "").lower().split()
    found = [group for group in groups if all(word in _text(group) for word in words)]
    facts = {
        "page": list_page(request, found),
        "asked": request.GET,
        "too_few": TOO_FEW,
        "unexplained": Problem.objects.of(request.user.shop).filter(model=None).count(),
    }
    return render(request, "insights/fleet.html", facts)


def _text(group: object) -> str:
    return f"{group.model} {group.release} {group.counterpart}".lower()


@needs("fleet.see")
@require_GET
def group(request: HttpRequest, model: int, release: int, counterpart: int) -> HttpResponse:
    """One group with its boats: affected, clear so far, and those whose release nobody knows."""
    key = (model, release or None, counterpart or None)
    found = group_of(request.user.shop, key, since=_since(request))
    if found is None:
        raise Http404("No problem is noted for this combination.")
    rows = Problem.objects.of(request.user.shop).filter(
        model=model, release=release or None, counterpart=counterpart or None
    )
    shown = rows.select_related("boat", "job", "model", "release", "counterpart", "noted_by")
    facts = {
        "group": found,
        "boats": boats_in(found),
        "problems": shown.defer("job__case", "job__plan", "job__ports")[:50],
        "too_few": TOO_FEW,
    }
    return render(request, "insights/group.html", facts)
