"""The facts of a quote on paper: the options side by side, then each whole."""

from decimal import Decimal

from shopapp.jobs.documents.check_rows import check_facts
from shopapp.jobs.documents.common import (
    Facts,
    boat_facts,
    customer_facts,
    day_words,
    local_day,
    shop_facts,
)
from shopapp.jobs.documents.plan_rows import PlanPaper, unit_rows, update_rows
from shopapp.jobs.labour_band import band_of
from shopapp.jobs.models import Assumption, Quote, QuoteLine, QuoteOption
from shopapp.jobs.revision_words import changes_between
from shopapp.money import show
from shopapp.ui.templatetags.ui import hours

READ = (
    "customer__phones", "options__lines", "assumptions",
    "replaces__options__lines", "replaces__assumptions",
)  # fmt: skip
Kind = QuoteLine.LineKind
BOUGHT = {Kind.EQUIPMENT}
SETTLED = {Assumption.State.CONFIRMED, Assumption.State.AT_RISK}
TAXED_AS = {"goods": "goods", "labour": "labour", "outside": "outside work"}


def quote_for_paper(pk: int) -> Quote:
    """The quote with what its paper shows; nine queries whatever its size."""
    rows = Quote.objects.select_related("shop", "boat", "customer", "run", "made_by", "replaces")
    return rows.prefetch_related(*READ).get(pk=pk)


def quote_facts(quote: Quote) -> Facts:
    """All that a quote shows on paper, as plain data. Cost and planner's ids stay inside."""
    offered = [option for option in quote.options.all() if option.offered]
    sheets = [_option(quote, option) for option in offered]
    letters = {option.position: _letter(option) for option in offered}
    taken = [one for one in quote.assumptions.all() if any(map(one.speaks_of, offered))]
    assumptions = [_assumption(one, letters) for one in taken]
    return {
        "shop": shop_facts(quote.shop),
        "number": str(quote),
        "revision": quote.revision,
        "title": quote.title,
        "boat": boat_facts(quote.boat),
        "customer": customer_facts(quote.customer),
        "cover": quote.cover,
        "currency": quote.currency,
        "valid_until": day_words(quote.valid_until),
        "sent_on": day_words(local_day(quote.sent_at, quote.shop)),
        "made_by": str(quote.made_by) if quote.made_by else "",
        "taxes": [_tax(tax) for tax in quote.taxes],
        "deposit_percent": quote.deposit_percent,
        "rate_cents": quote.labour_cents_per_hour,
        "options": sheets,
        "compare": compare_rows(sheets, quote.currency),
        "replaces": str(quote.replaces) if quote.replaces else "",
        "changes": _changes(quote),
        "assumptions": assumptions,
        "open_points": any(one["decides"] for one in assumptions),
        "not_included": _lines_of_text(quote.not_included or quote.shop.not_included),
        "terms": _lines_of_text(quote.terms or quote.shop.quote_terms),
        "token": quote.token or "",
    }


def _changes(quote: Quote) -> list[str]:
    """What differs from the revision that the customer has, in words."""
    before = quote.replaces
    if before is None or before.sent_at is None:
        return []
    return changes_between(before, quote, offered_only=True).told


def compare_rows(options: list[Facts], currency: str) -> list[Facts]:
    """The options side by side: a row a question, a cell an option; equal rows say so."""
    rows = [
        ("Total", [[show(one["total_cents"], currency)] for one in options]),
        ("Deposit to begin", [[show(one["deposit_cents"], currency)] for one in options]),
        ("Hours of work", [_hours(one) for one in options]),
        ("What is bought", [one["bought"] or ["nothing"] for one in options]),
        ("What is given up", [one["given_up"] or ["nothing"] for one in options]),
        ("What is updated", [one["updates"] or ["nothing"] for one in options]),
        (
            "Not known yet, see the end",
            [[", ".join(one["not_known"]) or "nothing"] for one in options],
        ),
    ]
    return [
        {"label": label, "cells": cells, "same": all(cell == cells[0] for cell in cells)}
        for label, cells in rows
    ]


def _hours(option: Facts) -> list[str]:
    """The typical hours, and the likely range in words where the tasks have one."""
    low, high = option["band"]
    typical = hours(option["minutes"])
    if low >= high:
        return [typical]
    return [f"about {typical}", f"most likely {hours(low)} to {hours(high)}"]


def _option(quote: Quote, option: QuoteOption) -> Facts:
    paper = PlanPaper(quote.run.case, option.plan)
    units = unit_rows(paper)
    lines = list(option.lines.all())
    return {
        "pk": option.pk,
        "letter": _letter(option),
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
        "band": band_of(lines),
        "bought": [_counted(line) for line in lines if line.kind in BOUGHT and not line.left_out],
        "given_up": _given_up(units),
        "updates": [
            f"{row['unit']}: {row['before']} → {row['after']}" for row in update_rows(paper, {})
        ],
        "not_known": _not_known(quote, option),
        "groups": _groups(lines),
        "checks": check_facts(option.checks),
        "rounding_cents": _rounding(option, lines),
    }


def _letter(option: QuoteOption) -> str:
    return str(option.position)  # as on the desk's and the customer's pages


def _rounding(option: QuoteOption, lines: list[QuoteLine]) -> int:
    """What the quarter hour adds, so that the lines on paper add up to the sums below them."""
    sums = option.goods_cents + option.labour_cents + option.outside_cents
    return sums - option.discount_cents - sum(line.total_cents for line in lines)


def _counted(line: QuoteLine) -> str:
    return line.description if line.quantity == 1 else f"{line.quantity} × {line.description}"


def _not_known(quote: Quote, option: QuoteOption) -> list[str]:
    """The numbers of the unsettled assumptions on which this option rests."""
    return [
        _point(one)
        for one in quote.assumptions.all()
        if one.speaks_of(option) and one.state not in SETTLED
    ]


def _point(one: Assumption) -> str:
    """`A3 ◆`, the mark where it decides whether the option works."""
    decides = " ◆" if one.decides and one.state not in SETTLED else ""
    return f"A{one.number}{decides}"


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
        "left_out": line.why if line.left_out else "",
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


def _assumption(one: Assumption, letters: dict[int, str]) -> Facts:
    return {
        "point": _point(one),
        "text": one.text,
        "confirm_by": one.confirm_by,
        "when": "before parts are bought" if one.decides else "on the day at the latest",
        "state": one.get_state_display(),
        "decides": one.decides and one.state not in SETTLED,
        "options": ", ".join(letters[n] for n in one.concerns if n in letters) or "all",
    }


def _percent(value: Decimal) -> str:
    text = f"{value:f}"
    plain = text.rstrip("0").rstrip(".") if "." in text else text
    return "" if plain in {"0", ""} else plain


def _lines_of_text(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]
