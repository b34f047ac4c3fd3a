"""Make quotes of plans, revise them, and settle what they take for granted."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction
from django.utils import timezone
from simple_history.utils import bulk_create_with_history

from planner.checks import check_plans
from planner.models import PlanRun
from planner.plans import Column, plan_columns
from planner.telling import opening_sentence
from shopapp.accounts.models import Shop, TaxRate, User
from shopapp.customers.models import Customer
from shopapp.errors import MoveRefused
from shopapp.jobs.models import Assumption, Enquiry, Quote, QuoteLine, QuoteOption
from shopapp.jobs.services.checks import kit_lines
from shopapp.jobs.services.editing import claim_edit
from shopapp.jobs.services.exclusions import exclusions_of
from shopapp.jobs.services.lines import (
    apply_totals,
    lines_from_plan,
    recount,
    shelf_of,
)
from shopapp.jobs.services.moves import move_quote, opened
from shopapp.jobs.services.numbers import next_number
from shopapp.jobs.services.wording import title_of, told_apart, wishes_of

JsonDict = dict[str, Any]
OFFERED_AT_FIRST = 3
COPIED = (
    "customer",
    "enquiry",
    "title",
    "cover",
    "not_included",
    "terms",
    "currency",
    "deposit_percent",
)
COPIED_RATES = ("labour_cents_per_hour", "supplies_percent", "supplies_cap_cents")


def today_of(shop: Shop) -> date:
    """The day at the shop."""
    return timezone.now().astimezone(ZoneInfo(shop.time_zone)).date()


@transaction.atomic
def create_quote(*, run: PlanRun, by: User | None, enquiry: Enquiry | None = None) -> Quote:
    """A quote with one option for each plan of a finished, feasible planning.

    Prices, minutes, rates, taxes and assumptions are copied as they stand, so
    that nothing that changes later changes the quote. MoveRefused where the
    planning is not finished or found no plan.
    """
    _check_planned(run)
    _check_feasible(run)
    quote = Quote.objects.create(
        number=next_number(shop=run.shop, series="Q"),
        title=wishes_of(run.case),
        cover=_cover(run, enquiry),
        customer=run.boat.customer,
        enquiry=enquiry,
        terms=run.shop.quote_terms,
        not_included=exclusions_of(
            own=run.shop.not_included,
            case=run.case,
            plans=[column.plan for column in plan_columns(run.answer)],
            dock_power=run.boat.dock_power,
        ),
        deposit_percent=run.shop.deposit_percent,
        currency=run.shop.currency,
        **_frozen(run, by),
    )
    _fill(quote, run)
    opened(quote=quote, by=by)
    if enquiry is not None:
        enquiry.state = Enquiry.State.QUOTED
        enquiry.save(update_fields=["state"])
    return quote


@transaction.atomic
def quote_of_run(*, run: PlanRun, by: User, enquiry: Enquiry | None = None) -> Quote:
    """The quote of a planning: a revision where it plans an earlier quote again, else a new one."""
    earlier = Quote.objects.filter(run=run.again_of_id, replaced_by=None).first()
    if earlier is None or earlier.state == Quote.State.APPROVED:
        return create_quote(run=run, by=by, enquiry=enquiry)
    _check_planned(run)
    _check_feasible(run)
    fresh = _next_revision(earlier, run, by)
    _fill(fresh, run)
    return fresh


@transaction.atomic
def revise_quote(*, quote: Quote, by: User) -> Quote:
    """A new revision with everything copied; the old one becomes replaced, its link says so.

    Prices and rates stay those of the old one; the taxes are those of today.
    MoveRefused where the quote was approved (what was agreed stays agreed), or
    ran out (old prices are not sent again).
    """
    _check_prices_hold(quote)
    rates = {name: getattr(quote, name) for name in COPIED_RATES}
    fresh = _next_revision(quote, quote.run, by, rates)
    for option in quote.options.all():
        lines = list(option.lines.all())
        option.pk, option.quote = None, fresh
        option.save()
        _copy_lines(lines, option)
        recount(quote=fresh, option=option)
    copies = list(quote.assumptions.all())
    for row in copies:
        row.pk, row.quote = None, fresh
    bulk_create_with_history(copies, Assumption)
    return fresh


def _copy_lines(lines: list[QuoteLine], option: QuoteOption) -> None:
    for row in lines:
        row.pk, row.option = None, option
    QuoteLine.objects.bulk_create(lines)


def _check_prices_hold(quote: Quote) -> None:
    if quote.state == Quote.State.EXPIRED:
        raise MoveRefused(
            f"The quote {quote} ran out, and its prices with it.",
            todo="Plan again: that reads today's prices and makes the revision.",
        )


def _next_revision(quote: Quote, run: PlanRun, by: User, rates: JsonDict | None = None) -> Quote:
    move_quote(quote=quote, after="replaced", by=by, note="A revision was made.")
    fresh = Quote.objects.create(
        number=quote.number,
        revision=quote.revision + 1,
        replaces=quote,
        **{name: getattr(quote, name) for name in COPIED},
        **{**_frozen(run, by), **(rates or {})},
    )
    opened(quote=fresh, by=by, note=f"Revision of {quote}.")
    return fresh


def _frozen(run: PlanRun, by: User | None) -> JsonDict:
    """The shop's money rules as they stand today."""
    shop = run.shop
    today = today_of(shop)
    return {
        "shop": shop,
        "boat": run.boat,
        "run": run,
        "made_by": by,
        "labour_cents_per_hour": shop.labour_cents_per_hour,
        "taxes": taxes_on(shop=shop, customer=run.boat.customer, day=today),
        "supplies_percent": Decimal(shop.supplies_percent),
        "supplies_cap_cents": shop.supplies_cap_cents,
        "valid_until": today + timedelta(days=shop.quote_valid_days),
    }


def taxes_on(*, shop: Shop, customer: Customer, day: date) -> list[JsonDict]:
    """The tax rates in force on a day; for an exempt customer one line that names the certificate.

    Where a tax has several rates whose days overlap, the one that began last counts.
    """
    if customer.tax_exempt:
        name = f"Tax exempt, certificate {customer.tax_certificate}"
        return [{"name": name, "applies_to": "goods", "percent": "0"}]
    rows = TaxRate.objects.of(shop).filter(valid_from__lte=day).order_by("valid_from", "pk")
    in_force = {
        (row.applies_to, row.name): row
        for row in rows
        if row.valid_until is None or row.valid_until >= day
    }
    return [
        {"name": row.name, "applies_to": row.applies_to, "percent": f"{row.percent.normalize():f}"}
        for row in in_force.values()
    ]


def _cover(run: PlanRun, enquiry: Enquiry | None) -> str:
    words = enquiry.words.strip().rstrip(".") if enquiry else ""
    asked = f" You asked for: “{words}”." if words else ""
    return (
        f"Thank you for asking us about {run.boat}.{asked} "
        "Each option below is complete, with parts, labour and tests."
    )


def _check_planned(run: PlanRun) -> None:
    if run.answer is None:
        raise MoveRefused(
            "This plan is not worked out yet.", todo="Wait until it is, then make the quote."
        )


def _check_feasible(run: PlanRun) -> None:
    if not run.feasible:
        raise MoveRefused(
            "No plan meets this wish, so there is nothing to quote.",
            todo="Take one of the ways out on the plan's page.",
        )


def _fill(quote: Quote, run: PlanRun) -> None:
    columns = plan_columns(run.answer)
    shelf = shelf_of(
        shop=run.shop, keys={key for column in columns for key in column.plan["parts"]}
    )
    titles = [title_of(run.case, column.plan) for column in columns]
    titles = told_apart(titles, [column.strategies for column in columns])
    offered = _offered_at_first(columns)
    checks = check_plans(
        boat=run.boat, case=run.case, plans=[column.plan for column in columns]
    )  # fmt: skip
    rows_of = zip(columns, titles, checks, strict=True)
    for position, (column, title, found) in enumerate(rows_of, start=1):
        plan = column.plan
        option = QuoteOption(
            quote=quote,
            position=position,
            title=title,
            sentence=opening_sentence(run.case, plan),
            plan=plan,
            strategies=column.strategies,
            offered=position in offered,
            checks=found,
        )
        rows = lines_from_plan(
            quote=quote, case=run.case, plan=plan, shelf=shelf, small=kit_lines(found)
        )
        apply_totals(quote=quote, option=option, rows=rows)
        option.save()
        for row in rows:
            row.option = option
        QuoteLine.objects.bulk_create(rows)
    _copy_assumptions(quote, run)


def _offered_at_first(columns: list[Column]) -> set[int]:
    """Positions of the few that differ most: those that a strategy chose, then the cheapest."""
    ranked = sorted(range(len(columns)), key=lambda place: (not columns[place].strategies, place))
    return {place + 1 for place in ranked[:OFFERED_AT_FIRST]}


def _copy_assumptions(quote: Quote, run: PlanRun) -> None:
    rows = [
        Assumption(
            quote=quote,
            number=number,
            key=taken["key"],
            text=taken["text"],
            decides=taken.get("decides", False) or taken.get("missing", False),
            confirm_by=taken.get("confirm_by", "").rstrip(".")[:200],
            concerns=[place + 1 for place in taken.get("options", [])],
        )
        for number, taken in enumerate(run.assumptions, start=1)
    ]
    bulk_create_with_history(rows, Assumption)


@transaction.atomic
def change_head(*, quote: Quote, seen: int, facts: JsonDict) -> None:
    """Write title, words, terms, deposit and days of an open quote; sums follow the deposit.

    StaleRecord where the quote changed since version `seen`.
    """
    claim_edit(quote=quote, seen=seen)
    for name, value in facts.items():
        setattr(quote, name, value)
    quote.save(update_fields=list(facts))
    for option in quote.options.all():
        recount(quote=quote, option=option)


@transaction.atomic
def change_option(*, option: QuoteOption, seen: int, facts: JsonDict) -> None:
    """Write an option's title, sentence and whether the customer sees it."""
    claim_edit(quote=option.quote, seen=seen)
    for name, value in facts.items():
        setattr(option, name, value)
    option.save(update_fields=list(facts))


@transaction.atomic
def settle_assumption(*, assumption: Assumption, state: str, by: User) -> None:
    """Say what became of an assumption, and who says so; open to anybody at the desk.

    It may be settled at any time until the work is done: it is no term of the quote.
    """
    assumption.state = state
    assumption.settled_by = None if state == Assumption.State.OPEN else by
    assumption.settled_at = None if state == Assumption.State.OPEN else timezone.now()
    assumption.save()


def undecided(quote: Quote) -> list[Assumption]:
    """Assumptions of the options offered that decide whether it works, and that nobody settled."""
    return undecided_of(list(quote.options.all()), list(quote.assumptions.all()))


def undecided_of(options: list[QuoteOption], assumptions: list[Assumption]) -> list[Assumption]:
    """The same, of rows that were read already."""
    offered = [option for option in options if option.offered]
    open_states = {Assumption.State.OPEN, Assumption.State.ASKED}
    return [
        row
        for row in assumptions
        if row.decides
        and row.state in open_states
        and any(row.speaks_of(option) for option in offered)
    ]
