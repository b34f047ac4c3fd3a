"""The fleet's pages: which combinations fail, on how many boats of how many."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from shopapp.accounts.access import get_for
from shopapp.catalog.models import EquipmentModel
from shopapp.fleet.figures import FALSE_SHARE, TOO_FEW, percent
from shopapp.fleet.models import Combination, Tally
from shopapp.fleet.seeing import Period
from shopapp.fleet.services.tallies import current_tally
from shopapp.insights import recurring
from shopapp.insights.comparing import compare
from shopapp.insights.forms import CompareForm
from shopapp.jobs.models import Problem
from shopapp.roles import needs
from shopapp.ui.lists import list_page

PERIODS = {"3": 3, "12": 12, "24": 24}
WHICH = {"affected", "clear", "unknown"}


def _months(request: HttpRequest) -> int:
    return PERIODS.get(request.GET.get("months", ""), 12)


@needs("fleet.see")
@require_GET
def fleet(request: HttpRequest) -> HttpResponse:
    """What recurs, ranked by how sure the rate is high; comebacks; what it costs."""
    tally, making = current_tally(shop=request.user.shop, months=_months(request))
    facts: dict[str, Any] = {
        "tally": tally,
        "making": making,
        "asked": request.GET,
        "months": _months(request),
        "too_few": TOO_FEW,
        "unexplained": Problem.objects.of(request.user.shop).filter(model=None).count(),
    }
    if tally is not None:
        facts |= _counted(request, tally)
    return render(request, "insights/fleet.html", facts)


def _counted(request: HttpRequest, tally: Tally) -> dict[str, Any]:
    page = list_page(request, recurring.combinations_found(tally, request.GET))
    slices = recurring.slices_of(tally)
    return {
        "page": page,
        "rows": recurring.shown(page.items),
        "share": percent(tally.share),
        "false_percent": percent(FALSE_SHARE),
        "totals": recurring.totals_of(tally),
        "slices": slices,
        "bars": recurring.bars_of(
            [(row.day, row.comebacks90 or 0.0, _comeback_words(row), None) for row in slices]
        ),
    }


def _comeback_words(row: recurring.Slice) -> str:
    if row.comebacks90 is None:
        return "no job watched for 90 days yet"
    return f"{row.comebacks90:.1f} comebacks in 90 days per 100 jobs"


@needs("fleet.see")
@require_GET
def making(request: HttpRequest, pk: int) -> HttpResponse:
    """How far a count is; once it is made the page loads anew."""
    row = get_for(request, Tally.objects.all(), pk=pk)
    page = render(request, "insights/_making.html", {"making": row})
    if row.row_state not in {"requested", "running"}:
        page["HX-Refresh"] = "true"
    return page


@needs("fleet.see")
@require_GET
def group(
    request: HttpRequest, model: int, release: int, counterpart: int, switch: int
) -> HttpResponse:
    """One combination: its figures, its trend, before and after, and the boats behind each."""
    get_for(request, EquipmentModel.objects.only("pk"), pk=model)
    key = (model, release or None, counterpart or None, switch or None)
    tally, _ = current_tally(shop=request.user.shop, months=_months(request))
    period = Period(_months(request), tally.ends_on) if tally else None
    which = request.GET.get("boats", "affected")
    which = which if which in WHICH else "affected"
    facts = recurring.names_of(key) | {"key": key, "which": which, "months": _months(request)}
    facts |= {"tally": tally, "too_few": TOO_FEW} | _compared(request, key)
    if tally is not None:
        boats = recurring.boats_behind(request.user.shop, key, period, which)
        notes = recurring.notes_of(request.user.shop, key, period)
        notes = notes.select_related("boat", "job", "model", "release", "counterpart", "noted_by")
        facts |= {
            "page": list_page(request, boats),
            "notes": notes.defer("job__case", "job__plan", "job__ports")[:20],
        } | _figures(tally, key, period)
    return render(request, "insights/group.html", facts)


def _figures(tally: Tally, key: recurring.Key, period: Period) -> dict[str, Any]:
    names = dict(zip(recurring.NAMES, key, strict=True))
    rows = Combination.objects.filter(tally=tally, **names)
    row = rows.select_related("tally", *recurring.NAMES).first()
    if row is None:
        return {"row": None}
    alone = recurring.same_model_elsewhere(row)
    return {
        "row": recurring.Shown(row),
        "bars": recurring.trend_of(row, period),
        "share": percent(tally.share),
        "alone": recurring.Shown(alone) if alone else None,
    }


def _compared(request: HttpRequest, key: recurring.Key) -> dict[str, Any]:
    asked = request.GET if request.GET.get("day") else None
    form = CompareForm(asked, request=request)
    facts: dict[str, Any] = {"form": form}
    if asked and form.is_valid():
        facts["compared"] = compare(
            request.user.shop, model=key[0], counterpart=key[2], **form.cleaned_data
        )
    return facts
