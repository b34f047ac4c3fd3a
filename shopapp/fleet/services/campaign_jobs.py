"""Quotes and jobs of a campaign in one press: each boat once, however often it is pressed."""

import secrets
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from planner.models import PlanRun
from planner.services import advance_plan, start_plan
from shopapp.accounts.models import User
from shopapp.errors import MoveRefused, ShopError
from shopapp.fleet.models import Bulletin, CampaignBoat, CampaignWork
from shopapp.fleet.remedies import exchange_minutes, exchanged
from shopapp.jobs.models import Job, Quote, QuoteLine, QuoteOption
from shopapp.jobs.services.acceptance import accept_quote
from shopapp.jobs.services.lines import add_line, recount
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.quotes import create_quote
from shopapp.jobs.services.sending import TOKEN_BYTES

Payer = Bulletin.Payer
ALL_OFF = Decimal(100)


def make_quotes_and_jobs(work: CampaignWork) -> dict[str, Any]:
    """Each boat in a transaction of its own; what cannot be made is told with its reason."""
    made, left_out = 0, []
    rows = CampaignBoat.objects.filter(pk__in=work.rows).select_related("boat")
    for row in rows.order_by("pk"):
        try:
            made += make_for_boat(row=row, by=work.asked_by)
        except ShopError as refused:
            left_out.append([row.boat.name, f"{refused.message} {refused.todo}".strip()])
    return {"made": made, "left_out": left_out}


@transaction.atomic
def make_for_boat(*, row: CampaignBoat, by: User) -> bool:
    """The boat's quote, and its job where the owner said yes and does not pay.

    False where both are there already. Where the customer pays, the quote goes the usual way.
    """
    row = CampaignBoat.objects.select_for_update(of=("self",)).get(pk=row.pk)
    _check(row)
    if row.job_id:
        return False
    fresh = row.quote_id is None
    if fresh:
        row.quote = _quote(row, by)
        row.save(update_fields=["quote"])
    if row.campaign.bulletin.payer == Payer.CUSTOMER or not row.agreed:
        return fresh
    _job(row, by)
    return True


def _check(row: CampaignBoat) -> None:
    if row.campaign.closed_at:
        raise MoveRefused("This campaign is closed.")
    if row.is_ended:
        raise MoveRefused(f"It is “{row.get_state_display()}”.")
    if row.needs is None:
        words = row.needs_fault or "What it needs is not worked out yet."
        raise MoveRefused(words, todo="Look at the boat, then work it out again.")


def _quote(row: CampaignBoat, by: User) -> Quote:
    bulletin = row.campaign.bulletin
    run = start_plan(boat=row.boat, wishes=row.needs["wishes"], by=by)
    if run.answer is None:
        advance_plan(run.pk)
        run = PlanRun.objects.get(pk=run.pk)
    quote = create_quote(run=run, by=by)
    quote.title = f"{bulletin.number}: {bulletin.title}"[:120]
    quote.cover = f"{bulletin.title} ({bulletin.source}). {row.needs['sentence']}"
    quote.save(update_fields=["title", "cover"])
    option = quote.options.order_by("position").first()
    _add_exchange(row, option)
    if bulletin.payer != Payer.CUSTOMER:
        _take_off_all(bulletin, quote, option)
    return quote


def _add_exchange(row: CampaignBoat, option: QuoteOption) -> None:
    bulletin, pieces = row.campaign.bulletin, exchanged(row.campaign.bulletin, row)
    if not pieces:
        return
    part, why = bulletin.part, f"{bulletin.number}: exchanged"
    goods = QuoteLine.LineKind.EQUIPMENT if part.kind == "equipment" else QuoteLine.LineKind.SMALL
    add_line(
        option=option,
        facts={
            "kind": goods,
            "part": part,
            "description": str(part)[:200],
            "quantity": pieces,
            "unit_cents": part.price_cents or 0,
            "cost_cents": part.cost_cents,
            "why": why,
        },
    )
    minutes = exchange_minutes(bulletin, row)
    if minutes:
        facts = {"kind": "labour", "description": f"Exchange {part}"[:200], "minutes": minutes}
        add_line(option=option, facts=facts | {"why": why})


def _take_off_all(bulletin: Bulletin, quote: Quote, option: QuoteOption) -> None:
    """Prices stay on the lines, for the claim; the customer pays nothing."""
    why = f"Paid by {bulletin.get_payer_display().lower()}, {bulletin.number}"
    option.lines.update(discount_percent=ALL_OFF, discount_reason=why[:120])
    recount(quote=quote, option=option)
    if option.total_cents:  # what rounding to the quarter hour adds stands on no line
        rest = {"kind": "credit", "description": why, "unit_cents": -option.total_cents}
        add_line(option=option, facts=rest)


def _job(row: CampaignBoat, by: User) -> Job:
    """The owner's yes on record makes the job; the campaign itself was the second look."""
    quote, bulletin = row.quote, row.campaign.bulletin
    quote.refresh_from_db()
    if quote.is_open:
        if quote.state != Quote.State.READY:
            move_quote(quote=quote, after="ready", by=by, note=f"By campaign {bulletin.number}.")
        token = {"token": secrets.token_urlsafe(TOKEN_BYTES), "sent_at": timezone.now()}
        move_quote(quote=quote, after="sent", by=by, facts=token)
    option = quote.options.filter(offered=True).order_by("position").first()
    note = f"Told of {bulletin.number}; costs nothing."
    # The opened job itself brings the boat to "booked": see `campaign_moves`.
    return accept_quote(quote=quote, option=option, name=row.agreed, address=None, by=by, note=note)
