"""Send a quote: a link that cannot be guessed, the paper, an e-mail; and let it run out."""

import secrets

from django.db import transaction
from django.http import Http404
from django.template.loader import render_to_string
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.errors import FactRefused, LinkGone, MoveRefused, StaleRecord
from shopapp.jobs.models import Assumption, Document, Letter, Quote
from shopapp.jobs.services.letters import write_letter
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.papers import request_document
from shopapp.jobs.services.quotes import today_of, undecided
from shopapp.jobs.services.second_look import check_looked_at

TOKEN_BYTES = 32


@transaction.atomic
def send_quote(*, quote: Quote, by: User, link: str, subject_ok: bool = False) -> Letter | None:
    """Send a ready quote: token, paper, and a letter to be sent where there is an address.

    `link` is the whole address of the customer's page with `{token}` in it.
    `subject_ok` says that it may go out subject to confirmation while deciding
    assumptions are open. The letter waits for the paper; its failure takes nothing back.
    """
    # Nobody edits it between the second person's look and the sending.
    Quote.objects.select_for_update().only("pk").get(pk=quote.pk)
    quote.refresh_from_db(fields=["version"])
    _check_offers_something(quote)
    _check_nothing_wrong(quote)
    _check_day(quote)
    _check_decided(quote, subject_ok)
    check_looked_at(quote)
    token = secrets.token_urlsafe(TOKEN_BYTES)
    facts = {"token": token, "sent_at": timezone.now()}
    move_quote(quote=quote, after="sent", by=by, facts=facts)
    paper = request_document(kind=Document.DocumentKind.QUOTE, by=by, quote=quote)
    return _letter(quote, paper, link.replace("{token}", token), by)


def _check_offers_something(quote: Quote) -> None:
    if not quote.options.filter(offered=True).exists():
        raise MoveRefused("No option is offered.", todo="Tick at least one option to be shown.")


def _check_nothing_wrong(quote: Quote) -> None:
    wrong = quote.assumptions.filter(state=Assumption.State.WRONG).first()
    if wrong is not None:
        raise MoveRefused(
            f"Assumption A{wrong.number} turned out wrong: {wrong.text}",
            todo="Correct the boat's record and plan again.",
        )


def _check_day(quote: Quote) -> None:
    if quote.valid_until < today_of(quote.shop):
        raise FactRefused(
            "The last day of this quote is over.",
            field="valid_until",
            todo="Set a later day, then send it.",
        )


def _check_decided(quote: Quote, subject_ok: bool) -> None:
    numbers = ", ".join(f"A{row.number}" for row in undecided(quote))
    if numbers and not subject_ok:
        raise MoveRefused(
            f"Whether it works is not known yet: {numbers} is open.",
            todo="Confirm it, or tick that it goes out subject to confirmation.",
        )


def _letter(quote: Quote, paper: Document, link: str, by: User) -> Letter | None:
    facts = {"quote": quote, "shop": quote.shop, "link": link}
    return write_letter(
        shop=quote.shop,
        quote=quote,
        about=Letter.About.QUOTE,
        once=f"quote-{quote.pk}-sent",
        to=quote.customer.email,
        subject=f"{quote.shop.name}: quote {quote} for {quote.boat}",
        body=render_to_string("jobs/customer_letter.txt", facts),
        paper=paper,
        by=by,
    )


def quote_behind(token: str) -> Quote:
    """The quote behind a customer's link; Http404 where there is none, LinkGone where it ran out.

    An answered quote still opens, so that the customer sees what was agreed.
    """
    rows = Quote.objects.select_related("shop", "boat", "customer", "run", "accepted_option")
    quote = rows.filter(token=token).first() if len(token) <= 64 else None
    if quote is None:
        raise Http404("There is no quote behind this address.")
    expire_if_over(quote)
    if quote.state == Quote.State.REPLACED:
        raise LinkGone(
            f"A newer version of the quote {quote} was made.",
            todo=f"Please use the newest link that we sent you, or ask us. {reach(quote.shop)}",
        )
    if quote.state == Quote.State.EXPIRED:
        raise LinkGone(
            f"The quote {quote} was good until {quote.valid_until.day} "
            f"{quote.valid_until:%b %Y}, and that day is over.",
            todo=f"Ask us for today's prices. {reach(quote.shop)}",
        )
    return quote


def reach(shop: Shop) -> str:
    """How the customer reaches the shop."""
    ways = [f"Phone {shop.phone}." if shop.phone else "", shop.email]
    return f"{shop.name}. {' '.join(way for way in ways if way)}".strip()


def expire_if_over(quote: Quote) -> bool:
    """Bring a sent quote whose last day is over to “Expired”; True where it is expired now."""
    if quote.state == Quote.State.SENT and quote.valid_until < today_of(quote.shop):
        try:
            move_quote(quote=quote, after="expired", note="Its last day was over.")
        except StaleRecord:
            quote.refresh_from_db()
    return quote.state == Quote.State.EXPIRED


def expire_quotes() -> int:
    """Let every quote run out whose last day is over at its shop; how many were moved."""
    moved = 0
    for shop in Shop.objects.all():
        over = Quote.objects.of(shop).filter(state="sent", valid_until__lt=today_of(shop))
        moved += sum(expire_if_over(quote) for quote in over.select_related("shop"))
    return moved
