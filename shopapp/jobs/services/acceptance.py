"""A customer's answer to a quote: accept one option, or decline; and proof of what was agreed."""

import hashlib
import json
from typing import Any

from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Approval, Assumption, Document, Job, Letter, Quote, QuoteOption
from shopapp.jobs.services.letters import site_link, write_letter
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.opening import open_job
from shopapp.jobs.services.quotes import today_of
from shopapp.work.models import RowState

NAME_LIMIT = 120
NOTE_LIMIT = 2000


@transaction.atomic
def accept_quote(
    *,
    quote: Quote,
    option: QuoteOption,
    name: str,
    address: str | None,
    by: User | None = None,
    note: str = "",
    browser: str = "",
) -> Job:
    """Accept one offered option of a sent quote: one job, one reservation, two papers asked for.

    `name` is who says yes, `address` where from; `by` is the person of the shop
    who writes down a yes given by phone or e-mail, `note` how it was given.
    MoveRefused where the quote is not open to an answer, or StaleRecord where
    another answer came first: then nothing is written, whoever was second.
    """
    _check_not_expired(quote)
    _check_sent(quote)
    _check_offered(quote, option)
    _check_still_right(quote, option)
    _check_name(name)
    agreed = agreed_text(quote=quote, option=option)
    said = {
        "accepted_option": option,
        "accepted_digest": _sha256(agreed),
        **_answer(name, address, note),
    }
    words = f"Accepted: {option.title}. {note}"
    move_quote(quote=quote, after="approved", by=by, by_name=name, note=words, facts=said)
    _keep_proof(quote, agreed, by=by, browser=browser)
    return open_job(quote=quote, option=option, by=by)


def _keep_proof(quote: Quote, agreed: str, *, by: User | None, browser: str) -> None:
    """Keep the yes with what was shown, and send the customer a confirmation."""
    paper = (
        Document.objects.filter(quote=quote, kind="quote", row_state=RowState.READY)
        .order_by("-version")
        .first()
    )
    approval = Approval.objects.create(
        quote=quote,
        option=quote.accepted_option,
        name=quote.answered_by,
        way=Approval.Way.DESK if by else Approval.Way.PAGE,
        by=by,
        at=quote.answered_at,
        address=quote.answered_from,
        browser=browser[:200],
        agreed=agreed,
        agreed_digest=quote.accepted_digest,
        paper=paper,
        paper_digest=paper.digest if paper else "",
    )
    _confirm(quote, approval)


def _confirm(quote: Quote, approval: Approval) -> None:
    link = site_link("jobs:customer_quote", quote.token)
    facts = {"quote": quote, "approval": approval, "shop": quote.shop, "link": link}
    write_letter(
        shop=quote.shop,
        quote=quote,
        about=Letter.About.ACCEPTED,
        once=f"quote-{quote.pk}-accepted",
        to=quote.customer.email,
        subject=f"{quote.shop.name}: quote {quote} is accepted",
        body=render_to_string("jobs/accepted_letter.txt", facts),
        paper=approval.paper,
    )


@transaction.atomic
def decline_quote(
    *, quote: Quote, name: str, reason: str, address: str | None, by: User | None = None
) -> None:
    """Write down a no with its reason. MoveRefused where the quote is not open to an answer."""
    _check_not_expired(quote)
    _check_sent(quote)
    _check_name(name)
    facts = _answer(name, address, reason)
    move_quote(quote=quote, after="declined", by=by, by_name=name, note=reason, facts=facts)


def _answer(name: str, address: str | None, note: str) -> dict[str, Any]:
    return {
        "answered_at": timezone.now(),
        "answered_by": name.strip()[:NAME_LIMIT],
        "answered_from": address or None,
        "answer_note": note.strip()[:NOTE_LIMIT],
    }


def _check_not_expired(quote: Quote) -> None:
    over = quote.state == Quote.State.SENT and quote.valid_until < today_of(quote.shop)
    if over or quote.state == Quote.State.EXPIRED:
        raise MoveRefused(
            f"The quote {quote} ran out; its prices no longer hold.",
            todo="Ask for a new one.",
        )


def _check_sent(quote: Quote) -> None:
    if quote.state == Quote.State.APPROVED:
        raise MoveRefused(f"The quote {quote} was accepted already.")
    if quote.state != Quote.State.SENT:
        raise MoveRefused(
            f"The quote {quote} is “{quote.get_state_display()}” and takes no answer.",
            todo="Ask the shop for a new one.",
        )


def _check_offered(quote: Quote, option: QuoteOption) -> None:
    if option.quote_id != quote.pk or not option.offered:
        raise FactRefused("That option is not offered on this quote.", field="option")


def _check_still_right(quote: Quote, option: QuoteOption) -> None:
    for row in quote.assumptions.all():
        if row.state == Assumption.State.WRONG and row.speaks_of(option):
            raise MoveRefused(
                f"We have found that assumption A{row.number} is wrong: {row.text}",
                todo="Ask the shop for a new quote.",
            )


def _check_name(name: str) -> None:
    if not name.strip():
        raise FactRefused("Write the name of who answers.", field="name")


def agreed_text(*, quote: Quote, option: QuoteOption) -> str:
    """All that is agreed as canonical JSON: option, plan, lines, assumptions, terms, taxes."""
    agreed = {
        "quote": str(quote),
        "option": [option.title, option.sentence, option.plan],
        "sums": [option.total_cents, option.tax_cents, option.deposit_cents, option.minutes],
        "lines": [_line(row) for row in option.lines.order_by("position", "pk")],
        "assumptions": [
            [row.number, row.text, row.decides, row.confirm_by]
            for row in quote.assumptions.order_by("number")
        ],
        "terms": [quote.cover, quote.not_included, quote.terms, quote.currency],
        "rates": [quote.taxes, quote.labour_cents_per_hour, quote.deposit_percent],
    }
    return json.dumps(agreed, sort_keys=True, separators=(",", ":"), ensure_ascii=True)


def _sha256(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _line(row: Any) -> list[Any]:
    return [
        row.kind,
        row.description,
        row.quantity,
        row.minutes,
        row.unit_cents,
        f"{row.discount_percent:.2f}",
        row.discount_reason,
        row.total_cents,
        row.left_out,
        row.why,
    ]


def still_as_agreed(quote: Quote) -> bool:
    """Whether an accepted quote still reads as it did when it was accepted."""
    option = quote.accepted_option
    return option is not None and (
        _sha256(agreed_text(quote=quote, option=option)) == quote.accepted_digest
    )
