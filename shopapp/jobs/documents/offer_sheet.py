"""The facts of a quote on paper: the options side by side, then each whole."""

from decimal import Decimal

from django.conf import settings

from shopapp.jobs.documents.common import (
    Facts,
    boat_facts,
    customer_facts,
    iso,
    local_day,
    shop_facts,
)
from shopapp.jobs.documents.plan_rows import PlanPaper, unit_rows, update_rows
from shopapp.jobs.models import Quote, QuoteLine, QuoteOption

Kind = QuoteLine.LineKind
BOUGHT = {Kind.EQUIPMENT}
TAXED_AS = {"goods": "goods", "labour": "labour", "outside": "outside work"}


def quote_for_paper(pk: int) -> Quote:
    """The quote with what its paper shows; six queries whatever its size."""
    rows = Quote.objects.select_related("shop", "boat", "customer", "run", "made_by")
    return rows.prefetch_related("customer__phones", "options__lines", "assumptions").get(pk=pk)


def quote_facts(quote: Quote) -> Facts:
    """All that a quote shows on paper, as plain data. Cost and planner's ids stay inside."""
    options = [option for option in quote.options.all() if option.offered]
    return {
        "shop": shop_facts(quote.shop),
        "number": str(quote),
        "revision": quote.revision,
        "title": quote.title,
        "boat": boat_facts(quote.boat),
        "customer": customer_facts(quote.customer),
        "cover": quote.cover,
        "currency": quote.currency,
        "valid_until": iso(quote.valid_until),
        "sent_on": iso(local_day(quote.sent_at, quote.shop)),
        "made_by": str(quote.made_by) if quote.made_by else "",
        "taxes": [_tax(tax) for tax in quote.taxes],
        "tax_exempt": quote.customer.tax_exempt,
        "deposit_percent": quote.deposit_percent,
        "rate_cents": quote.labour_cents_per_hour,
        "options": [_option(quote, option) for option in options],
        "assumptions": [_assumption(one) for one in quote.assumptions.all()],
        "not_included": _lines_of_text(quote.not_included or quote.shop.not_included),
        "terms": _lines_of_text(quote.terms or quote.shop.quote_terms),
        "token": quote.token or "",
    }


def _option(quote: Quote, option: QuoteOption) -> Facts:
    paper = PlanPaper(quote.run.case, option.plan)
    units = unit_rows(paper)
    lines = list(option.lines.all())
    return {
        "pk": option.pk,
        "letter": chr(ord("A") + option.position - 1),
        "title": option.title,
        "sentence": option.sentence,
        "goods_cents": option.goods_cents,
        "labour_cents": option.labour_cents,
        "outside_cents": option.outside_cents,
        "discount_cents": option.discount_cents,
        "tax_cents": option.tax_cents,
        "total_cents": option.total_cents,
        "deposit_cents": option.deposit_cents,
        "minutes": option.minutes,
        "bought": [_counted(line) for line in lines if line.kind in BOUGHT],
        "given_up": _given_up(units),
        "updates": [
            f"{row['unit']}: {row['before']} → {row['after']}" for row in update_rows(paper, {})
        ],
        "not_known": [unit["unit"] for unit in units if not unit["release_sure"]],
        "groups": _groups(lines),
    }


def _counted(line: QuoteLine) -> str:
    return line.description if line.quantity == 1 else f"{line.quantity} × {line.description}"


def _given_up(units: list[Facts]) -> list[str]:
    removed = [f"{unit['unit']} is taken out" for unit in units if unit["fate"] == "taken out"]
    off = [f"{unit['unit']} leaves the network" for unit in units if unit["left_network"]]
    return removed + off


def _groups(lines: list[QuoteLine]) -> list[Facts]:
    """The lines by kind, in the order of the kinds; a kind without lines is left out."""
    found = [
        {"label": kind.label, "lines": [_line(line) for line in lines if line.kind == kind]}
        for kind in Kind
    ]
    return [group for group in found if group["lines"]]


def _line(line: QuoteLine) -> Facts:
    is_labour = line.kind == Kind.LABOUR
    return {
        "description": line.description,
        "why": line.why,
        "quantity": line.quantity,
        "minutes": line.minutes if is_labour else None,
        "unit_cents": line.unit_cents,
        "discount": _percent(line.discount_percent),
        "discount_reason": line.discount_reason,
        "total_cents": line.total_cents,
    }


def _tax(tax: dict[str, str]) -> Facts:
    """A rate as it stood: its name, its percentage, on what."""
    return {
        "name": tax["name"],
        "percent": _percent(Decimal(str(tax["percent"]))),
        "on": TAXED_AS.get(tax["applies_to"], tax["applies_to"]),
    }


def _assumption(one: object) -> Facts:
    return {
        "number": one.number,
        "text": one.text,
        "decides": one.decides,
        "confirm_by": one.confirm_by,
        "state": one.get_state_display(),
        "settled": one.state in {"confirmed", "at_risk"},
    }


def _percent(value: Decimal) -> str:
    text = f"{value:f}"
    plain = text.rstrip("0").rstrip(".") if "." in text else text
    return "" if plain in {"0", ""} else plain


def _lines_of_text(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def customer_address(quote: Quote) -> str:
    """Where the customer answers, once the quote is sent; else empty."""
    return f"{settings.SITE_ADDRESS}/offer/{quote.token}/" if quote.token else ""
