"""The second look: a quote past the shop's limits goes out only after another person's yes."""

from dataclasses import asdict, dataclass

from django.db import IntegrityError, transaction
from django.db.models import F
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.jobs.models import Move, Quote, QuoteCheck, QuoteLine, QuoteOption
from shopapp.jobs.services.margins import (
    Finding,
    Limits,
    Margin,
    Sold,
    findings_of,
    labour_cost,
    margin_of,
)
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.states import CHIEFS

Verdict = QuoteCheck.Verdict
Kinds = QuoteLine.LineKind
WORDS_LIMIT = 300


@dataclass(frozen=True)
class Look:
    """What a quote needs before it may go out: findings in words, and the look that was asked."""

    findings: list[Finding]
    check: QuoteCheck | None

    @property
    def is_missing(self) -> bool:
        """Whether a second person still has to say yes."""
        return bool(self.findings) and not self.is_passed

    @property
    def is_asked(self) -> bool:
        """Whether it waits for a second person."""
        return self.check is not None and self.check.verdict == Verdict.ASKED

    @property
    def is_passed(self) -> bool:
        """Whether a second person looked at just this version and said yes."""
        return self.check is not None and self.check.verdict == Verdict.PASSED

    @property
    def about_margin(self) -> bool:
        """Whether a margin is among the findings."""
        return any(found.about == "margin" for found in self.findings)


def limits_of(shop: Shop) -> Limits:
    """The shop's limits."""
    return Limits(
        over_cents=shop.check_over_cents,
        floors={
            "equipment": shop.margin_equipment_percent,
            "small": shop.margin_small_percent,
            "labour": shop.margin_labour_percent,
        },
        labour_cost_cents_per_hour=shop.labour_cost_cents_per_hour,
        currency=shop.currency,
    )


def sold_of(lines: list[QuoteLine], limits: Limits) -> list[Sold]:
    """The lines as sold, with what they cost the shop."""
    return [
        Sold(row.kind, row.description, row.total_cents, _cost(row, limits))
        for row in lines
        if not row.left_out
    ]


def _cost(row: QuoteLine, limits: Limits) -> int | None:
    if row.kind == Kinds.LABOUR:
        return labour_cost(row.minutes, limits)
    return None if row.cost_cents is None else row.cost_cents * row.quantity


def margins_of(*, shop: Shop, lines: list[QuoteLine]) -> list[Margin]:
    """The margins of an option by kind of line, for the desk's eyes only."""
    limits = limits_of(shop)
    sold = sold_of(lines, limits)
    found = [margin_of(kind, sold) for kind in limits.floors]
    return [one for one in found if one is not None]


def look_of(quote: Quote, options: list[QuoteOption] | None = None) -> Look:
    """What the quote as it stands needs; three queries, one where the shop has no limits."""
    limits = limits_of(quote.shop)
    if limits.over_cents is None and not any(floor is not None for floor in limits.floors.values()):
        return Look([], None)
    rows = options if options is not None else list(quote.options.prefetch_related("lines"))
    findings = [
        found
        for option in rows
        if option.offered
        for found in findings_of(
            option=f"Option {option.position}",
            total_cents=option.total_cents,
            lines=sold_of(list(option.lines.all()), limits),
            limits=limits,
        )
    ]
    rows = quote.checks.filter(quote_version=quote.version).select_related("by", "asked_by")
    return Look(findings, rows.first())


def ask_for_look(*, quote: Quote, reason: str, by: User) -> QuoteCheck:
    """Ask a second person to look at a ready quote, saying why it is right all the same.

    FactRefused without a reason; MoveRefused where nothing asks for a look, or one is asked.
    """
    reason = _words(reason, "reason")
    look = look_of(quote)
    if quote.state != Quote.State.READY:
        raise MoveRefused("Only a ready quote is looked at.", todo="Mark it ready first.")
    if not look.findings:
        raise MoveRefused("This quote is within the shop's limits.", todo="Send it.")
    try:
        with transaction.atomic():
            return QuoteCheck.objects.create(
                quote=quote,
                quote_version=quote.version,
                findings=[asdict(found) for found in look.findings],
                asked_by=by,
                reason=reason,
            )
    except IntegrityError as error:
        raise StaleRecord("Somebody asked for this look already.") from error


@transaction.atomic
def pass_look(*, check: QuoteCheck, note: str, by: User) -> None:
    """A second person's yes, with a word why; see `_check_second`."""
    _answer(check, Verdict.PASSED, note, by)
    _note(check, f"Second look: passed. {check.note}")


@transaction.atomic
def return_look(*, check: QuoteCheck, note: str, by: User) -> None:
    """A second person's no: the quote goes back to being built, with what to change."""
    _answer(check, Verdict.RETURNED, note, by)
    words = f"Second look: given back. {check.note}"
    move_quote(quote=check.quote, after="building", by=by, note=words)


def _answer(check: QuoteCheck, verdict: str, note: str, by: User) -> None:
    note = _words(note, "note")
    _check_second(check, by)
    rows = QuoteCheck.objects.filter(
        pk=check.pk, verdict=Verdict.ASKED, quote__version=F("quote_version")
    )
    # One row's own columns decide; the version is compared once more when the quote is sent.
    if not rows.exists() or not QuoteCheck.objects.filter(
        pk=check.pk, verdict=Verdict.ASKED
    ).update(verdict=verdict, note=note, by=by, at=timezone.now()):
        raise StaleRecord(
            "The quote changed since this look was asked for, or somebody answered it.",
            todo="Load the page again.",
        )
    check.refresh_from_db()


def _words(text: str, field: str) -> str:
    text = text.strip()[:WORDS_LIMIT]
    if not text:
        raise FactRefused("Say why, in a few words.", field=field)
    return text


def _check_second(check: QuoteCheck, by: User) -> None:
    """The looker had no hand in the quote; a margin is a manager's or the owner's to pass."""
    if hand_in(check.quote, by) or check.asked_by_id == by.pk:
        raise MoveRefused(
            "You had a hand in this quote yourself.",
            todo="A second person has to look at it.",
        )
    margins = any(found["about"] == "margin" for found in check.findings)
    if margins and by.role not in CHIEFS:
        raise MoveRefused(
            "A margin under the shop's floor is passed by a manager or the owner.",
            todo="Ask one of them.",
        )


def hand_in(quote: Quote, person: User) -> bool:
    """Whether the person made this revision or moved it from state to state."""
    return quote.moves.filter(by=person).exclude(before=F("after")).exists()


def _note(check: QuoteCheck, words: str) -> None:
    state = check.quote.state
    Move.objects.create(
        quote=check.quote, before=state, after=state, by=check.by, note=words[:WORDS_LIMIT]
    )


def check_looked_at(quote: Quote) -> None:
    """MoveRefused where the quote as it stands still needs a second person's yes."""
    look = look_of(quote)
    if look.is_missing:
        raise MoveRefused(
            f"A second person has to look at this quote first. {look.findings[0].text}",
            todo="Ask for the second look on the quote's page.",
        )
