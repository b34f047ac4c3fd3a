"""Questions and answers about a quote: customer and shop both see all of it."""

from datetime import timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import OuterRef, QuerySet, Subquery
from django.template.loader import render_to_string
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Letter, Quote, QuoteMessage
from shopapp.jobs.services.letters import site_link, write_letter

TALKING = (Quote.State.SENT, Quote.State.APPROVED, Quote.State.DECLINED)
NAME_LIMIT = 120
AN_HOUR, AT_MOST = 8, 100


@transaction.atomic
def ask_question(*, quote: Quote, name: str, text: str, once: UUID) -> QuoteMessage:
    """Keep what the customer asks, and tell the shop.

    A second press with the same `once` gives the first message back. MoveRefused where the quote
    is not open to talk, or too much was written; FactRefused for a blank name or text.
    """
    quote = _locked(quote)
    said = QuoteMessage.objects.filter(quote=quote, once=once).first()
    if said is not None:
        return said
    _check_open(quote)
    _check_room(quote)
    row = _keep(quote, name=name, text=text, once=once, by=None)
    facts = {"message": row, "quote": quote, "link": site_link("jobs:quote", quote.pk)}
    write_letter(
        shop=quote.shop,
        quote=quote,
        about=Letter.About.QUESTION,
        once=f"message-{row.pk}",
        to=quote.shop.email,
        subject=f"Question on quote {quote}: {quote.boat}",
        body=render_to_string("jobs/question_letter.txt", facts),
    )
    return row


@transaction.atomic
def answer_question(*, quote: Quote, text: str, once: UUID, by: User) -> QuoteMessage:
    """Keep what the shop answers, and tell the customer."""
    quote = _locked(quote)
    said = QuoteMessage.objects.filter(quote=quote, once=once).first()
    if said is not None:
        return said
    _check_open(quote)
    row = _keep(quote, name=str(by), text=text, once=once, by=by)
    link = site_link("jobs:customer_quote", quote.token)
    facts = {"message": row, "quote": quote, "shop": quote.shop, "link": link}
    write_letter(
        shop=quote.shop,
        quote=quote,
        about=Letter.About.ANSWER,
        once=f"message-{row.pk}",
        to=quote.customer.email,
        subject=f"{quote.shop.name}: about your quote {quote}",
        body=render_to_string("jobs/answer_letter.txt", facts),
        by=by,
    )
    return row


def _locked(quote: Quote) -> Quote:
    # One writer at a time: two presses of one form make one message, on every database.
    Quote.objects.select_for_update().only("pk").get(pk=quote.pk)
    return Quote.objects.select_related("shop", "boat", "customer").get(pk=quote.pk)


def _keep(quote: Quote, *, name: str, text: str, once: UUID, by: User | None) -> QuoteMessage:
    name, text = " ".join(name.split())[:NAME_LIMIT], text.strip()
    if not name:
        raise FactRefused("Write your name.", field="name")
    if not text:
        raise FactRefused("Write what you would like to know.", field="text")
    if len(text) > QuoteMessage.TEXT_LIMIT:
        raise FactRefused(
            f"That is {len(text):,} signs; {QuoteMessage.TEXT_LIMIT:,} fit.",
            field="text",
            todo="Make it shorter, or ring us.",
        )
    return QuoteMessage.objects.create(quote=quote, name=name, text=text, once=once, by=by)


def _check_open(quote: Quote) -> None:
    if quote.state not in TALKING:
        raise MoveRefused(
            f"The quote {quote} is “{quote.get_state_display()}”; nobody talks about it here now.",
            todo="Ring the shop.",
        )


def _check_room(quote: Quote) -> None:
    """What a stranger with the link could write is bounded; a person's questions fit easily."""
    asked = QuoteMessage.objects.filter(quote=quote, by=None)
    hour = timezone.now() - timedelta(hours=1)
    if asked.filter(at__gte=hour).count() >= AN_HOUR or asked.count() >= AT_MOST:
        raise MoveRefused(
            "Many questions were sent from this page already.", todo="Please ring us instead."
        )


def unanswered(shop: Shop) -> QuerySet[Quote]:
    """Quotes whose last word is the customer's."""
    last = QuoteMessage.objects.filter(quote=OuterRef("pk")).order_by("-at", "-pk")
    rows = Quote.objects.of(shop).filter(state__in=TALKING)
    return rows.annotate(
        last_said=Subquery(last.values("pk")[:1]),
        last_by=Subquery(last.values("by")[:1]),
        last_text=Subquery(last.values("text")[:1]),
    ).filter(last_said__isnull=False, last_by__isnull=True)
