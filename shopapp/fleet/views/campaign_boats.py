"""One boat of a campaign: whom to call, what it needs, what came of the calls."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused
from shopapp.fleet.campaign_forms import CallForm
from shopapp.fleet.models import CampaignBoat
from shopapp.fleet.services.calling import note_answer
from shopapp.roles import needs
from shopapp.stock.models import StockItem

ROWS = CampaignBoat.objects.select_related(
    "boat__customer", "campaign__bulletin__release__model", "campaign__bulletin__part",
    "campaign__bulletin__statement", "campaign__shop", "quote", "job",
).defer("job__case", "job__plan", "job__ports")  # fmt: skip


def _row(request: HttpRequest, pk: int) -> CampaignBoat:
    return get_for(request, ROWS, pk=pk, path="campaign__shop")


@needs("fleet.see")
@require_GET
def campaign_boat(request: HttpRequest, pk: int) -> HttpResponse:
    """The page of one boat."""
    row = _row(request, pk)
    return _page(request, row, CallForm(request=request, row=row))


@needs("fleet.call")
@require_POST
def campaign_call(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down what came of a call or of a look aboard."""
    row = _row(request, pk)
    form = CallForm(request.POST, request=request, row=row)
    if form.is_valid():
        try:
            note_answer(row=row, by=request.user, **form.cleaned_data)
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, "Written down.")
            return redirect("fleet:campaign_boat", pk)
    return _page(request, row, form)


def _page(request: HttpRequest, row: CampaignBoat, form: CallForm) -> HttpResponse:
    facts = {
        "row": row,
        "form": form,
        "bulletin": row.campaign.bulletin,
        "entries": row.entries.select_related("by"),
        "parts": _parts(row),
        "approvers": row.boat.customer.approvers.all(),
        "phones": row.boat.customer.phones.all(),
    }
    return render(request, "fleet/campaign_boat.html", facts, status=422 if form.errors else 200)


def _parts(row: CampaignBoat) -> list[tuple[object, int]]:
    """What it needs, each with the pieces that lie free."""
    needed = list(row.parts.select_related("part"))
    free: dict[int, int] = {}
    items = StockItem.objects.to_give_out().filter(part__in=[one.part_id for one in needed])
    for item in items:
        free[item.part_id] = free.get(item.part_id, 0) + item.free
    return [(one, free.get(one.part_id, 0)) for one in needed]
