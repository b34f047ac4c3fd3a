"""Bulletins, and the campaign of each."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from planner.models import Statement
from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused
from shopapp.fleet import campaign_queries as queries
from shopapp.fleet.campaign_forms import BulletinForm, CloseForm
from shopapp.fleet.models import Bulletin, Campaign, CampaignWork
from shopapp.fleet.services import campaigns as services
from shopapp.fleet.services.bulletins import enter_bulletin
from shopapp.roles import needs
from shopapp.ui.lists import list_page

read_or_send = require_http_methods(["GET", "HEAD", "POST"])
BULLETINS = Bulletin.objects.select_related(
    "shop", "release__model", "target", "part", "replace_by", "statement", "campaign", "entered_by"
)
What = CampaignWork.What
DONE_WORDS = {
    What.NEEDS: "is being asked what it needs",
    What.LETTERS: "is being written to",
    What.JOBS: "gets its quote, and its job where the owner said yes",
}
NOTHING_WORDS = {
    What.NEEDS: "No boat is left.",
    What.LETTERS: "Every owner was told already.",
    What.JOBS: "No owner said yes to a job that is not made. Call first, and note the yes.",
}


@needs("fleet.see")
@require_GET
def bulletins(request: HttpRequest) -> HttpResponse:
    """Bulletins with how far their campaigns are, the newest first."""
    page = list_page(request, queries.bulletins_found(request.user.shop, request.GET))
    running = [row.campaign for row in page if hasattr(row, "campaign")]
    progress, today = queries.progress_of(running), timezone.localdate()
    rows = []
    for row in page:
        far = progress.get(row.campaign.pk) if hasattr(row, "campaign") else None
        behind = far is not None and queries.is_behind(row.campaign, far, today)
        rows.append({"bulletin": row, "far": far, "behind": behind})
    facts = {"page": page, "rows": rows, "asked": request.GET, "kinds": Bulletin.Kind.choices}
    return render(request, "fleet/bulletins.html", facts)


@needs("fleet.edit")
@read_or_send
def bulletin_new(request: HttpRequest) -> HttpResponse:
    """Enter a bulletin."""
    start = {"issued_on": timezone.localdate()} | _begun_from(request)
    form = BulletinForm(request.POST or None, request=request, initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            row = enter_bulletin(bulletin=form.bulletin(), by=request.user)
        except FactRefused as error:
            form.refuse(error)
        else:
            services.open_campaign(bulletin=row, by=request.user)
            messages.success(request, f"{row.number} is entered; its boats are being found.")
            return redirect("fleet:bulletin", row.pk)
    status = 422 if request.method == "POST" else 200
    return render(request, "fleet/bulletin_new.html", {"form": form}, status=status)


def _begun_from(request: HttpRequest) -> dict[str, Any]:
    """What the form begins with where it is called from a statement's page."""
    code = request.GET.get("statement", "")
    row = Statement.objects.of(request.user.shop).in_force().filter(code=code).first()
    if row is None:
        return {"kind": request.GET.get("kind", Bulletin.Kind.WITHDRAWN)}
    return {
        "kind": Bulletin.Kind.RULE,
        "statement": row,
        "title": row.text[:120],
        "source": f"{row.code}: {row.source}"[:160],
        "payer": Bulletin.Payer.SHOP,
    }


@needs("fleet.see")
@require_GET
def bulletin(request: HttpRequest, pk: int) -> HttpResponse:
    """One bulletin: its boats, how far they are, the parts in sum, what can be pressed."""
    return _page(request, get_for(request, BULLETINS, pk=pk), CloseForm(request=request))


def _page(request: HttpRequest, row: Bulletin, form: CloseForm) -> HttpResponse:
    campaign: Campaign | None = getattr(row, "campaign", None)
    facts: dict[str, Any] = {"bulletin": row, "campaign": campaign, "form": form}
    if campaign is not None:
        far = queries.progress_of([campaign])[campaign.pk]
        facts |= {
            "far": far,
            "behind": queries.is_behind(campaign, far, timezone.localdate()),
            "findings": queries.findings_of(campaign),
            "page": list_page(request, queries.boats_found(campaign, request.GET)),
            "parts": queries.parts_of(campaign),
            "minutes_left": queries.minutes_left(campaign),
            "works": queries.works_of(campaign),
            "asked": request.GET,
            "finding_choices": [("affected", "Affected"), ("to_check", "To be checked")],
        }
    return render(request, "fleet/bulletin.html", facts, status=422 if form.errors else 200)


@needs("fleet.see")
@require_GET
def campaign_works(request: HttpRequest, pk: int) -> HttpResponse:
    """How far the workers are; once all is over the page loads anew."""
    row = get_for(request, BULLETINS, pk=pk)
    works = queries.works_of(row.campaign)
    page = render(request, "fleet/_campaign_works.html", {"bulletin": row, "works": works})
    if not works["running"]:
        page["HX-Refresh"] = "true"
    return page


@needs("fleet.edit")
@require_POST
def campaign_press(request: HttpRequest, pk: int) -> HttpResponse:
    """Find the boats anew, work out needs, write letters, or make quotes and jobs."""
    row = get_for(request, BULLETINS, pk=pk)
    what = request.POST.get("what", "")
    if what == What.FIND:
        services.open_campaign(bulletin=row, by=request.user)
        row.refresh_from_db()
        services.ask_find(campaign=row.campaign, by=request.user)
        messages.success(request, "Its boats are being found by the records of today.")
    elif what in DONE_WORDS:
        _press(request, row.campaign, what)
    return redirect("fleet:bulletin", pk)


def _press(request: HttpRequest, campaign: Campaign, what: str) -> None:
    rows = services.rows_for(campaign, what)
    if not rows:
        messages.info(request, NOTHING_WORDS[What(what)])
        return
    services.ask_work(campaign=campaign, what=what, rows=rows, by=request.user)
    boats = "1 boat" if len(rows) == 1 else f"Each of {len(rows)} boats"
    messages.success(request, f"{boats} {DONE_WORDS[What(what)]}.")


@needs("fleet.edit")
@require_POST
def campaign_close(request: HttpRequest, pk: int) -> HttpResponse:
    """End a campaign, with the reason."""
    row = get_for(request, BULLETINS, pk=pk)
    form = CloseForm(request.POST, request=request)
    if form.is_valid():
        services.close_campaign(
            campaign=row.campaign, by=request.user, note=form.cleaned_data["note"]
        )
        messages.success(request, "The campaign is closed; its record stays.")
        return redirect("fleet:bulletin", pk)
    return _page(request, row, form)
