"""Deposits: what is due with a yes, what came in, what was struck."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.jobs.models import Deposit, Quote
from shopapp.jobs.services.quotes import today_of
from shopapp.money import show


@dataclass(frozen=True)
class Money:
    """A quote's deposit: due, received, still open; never below zero."""

    rows: list[Deposit]
    due_cents: int

    @property
    def received_cents(self) -> int:
        """What came in and was not struck."""
        return sum(row.cents for row in self.rows if row.struck_at is None)

    @property
    def open_cents(self) -> int:
        """What is still to come of what is due."""
        return max(0, self.due_cents - self.received_cents)


def money_of(quote: Quote) -> Money:
    """The deposit of an approved quote; one query."""
    due = quote.accepted_option.deposit_cents if quote.accepted_option else 0
    return Money(list(quote.deposits.select_related("noted_by", "struck_by")), due)


@transaction.atomic
def note_deposit(
    *, quote: Quote, cents: int, way: str, received_on: date, note: str, once: UUID, by: User
) -> Deposit:
    """Note money received; a second press with the same `once` gives the first row back.

    MoveRefused unless the quote is approved; FactRefused for a day ahead, or for more in all
    than the accepted option costs.
    """
    Quote.objects.select_for_update().only("pk").get(pk=quote.pk)
    quote = Quote.objects.select_related("shop", "accepted_option").get(pk=quote.pk)
    noted = Deposit.objects.filter(quote=quote, once=once).first()
    if noted is not None:
        return noted
    _check_approved(quote)
    _check_amount(quote, cents)
    if received_on > today_of(quote.shop):
        raise FactRefused("That day lies ahead.", field="received_on")
    return Deposit.objects.create(
        quote=quote,
        cents=cents,
        way=way,
        received_on=received_on,
        note=note,
        noted_by=by,
        once=once,
    )


def _check_approved(quote: Quote) -> None:
    if quote.state != Quote.State.APPROVED:
        raise MoveRefused(
            f"The quote {quote} is not approved, so no deposit is due.",
            todo="Write down the customer's yes first.",
        )


def _check_amount(quote: Quote, cents: int) -> None:
    if cents <= 0:
        raise FactRefused("A deposit is more than zero.", field="cents")
    total = quote.accepted_option.total_cents
    received = money_of(quote).received_cents
    if received + cents > total:
        words = [show(one, quote.currency) for one in (received, total)]
        raise FactRefused(
            f"With the {words[0]} received that is more than the whole total of {words[1]}.",
            field="cents",
            todo="Look at the amount again.",
        )


@transaction.atomic
def strike_deposit(*, deposit: Deposit, why: str, by: User) -> None:
    """Strike a deposit that was noted by mistake; it stays readable with the reason."""
    why = why.strip()[:120]
    if not why:
        raise FactRefused("Say why it is struck.", field="why")
    struck = Deposit.objects.filter(pk=deposit.pk, struck_at__isnull=True).update(
        struck_at=timezone.now(), struck_by=by, struck_why=why
    )
    if not struck:
        raise StaleRecord("This deposit was struck already.")
