"""What the pages of a quote read, in a fixed number of queries."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import Exists, Min, OuterRef, Q, QuerySet
from django.utils.safestring import SafeString, mark_safe

from planner.checks.shown import count_words, groups_of, marks_of
from planner.picture import plan_picture, plan_rows
from planner.sheet import (
    MoneyRow,
    OptionColumn,
    Sheet,
    SheetRow,
    option_columns,
    options_sheet,
)
from shopapp.accounts.models import Shop
from shopapp.boats.models import Evidence
from shopapp.boats.services.evidence import label_of
from shopapp.jobs.labour_band import band_of
from shopapp.jobs.models import Assumption, Quote, QuoteLine, QuoteOption
from shopapp.jobs.revision_words import Changes, changes_between
from shopapp.jobs.services.lines import totals_of
from shopapp.jobs.services.totals import Totals
from shopapp.jobs.services.wording import STRATEGY_WORDS

TONES = {
    "building": "live",
    "survey": "look",
    "ready": "live",
    "sent": "live",
    "approved": "good",
    "declined": "quiet",
    "expired": "look",
    "replaced": "quiet",
}
DESK_WIDTH, CUSTOMER_WIDTH = 1120, 760
SETTLED = {Assumption.State.CONFIRMED}
GOODS = (QuoteLine.LineKind.EQUIPMENT, QuoteLine.LineKind.SMALL)
GROUPS = [
    ("Equipment", ("equipment",)),
    ("Small parts", ("small",)),
    ("Labour", ("labour",)),
    ("Travel, supplies and outside work", ("travel", "supplies", "outside")),
    ("Credits", ("credit",)),
]


@dataclass(frozen=True)
class OptionPage:
    """One option with its column of the planner's sheet, its lines by kind and its sums."""

    option: QuoteOption
    column: OptionColumn
    groups: list[tuple[str, list[QuoteLine]]]
    left_out: list[QuoteLine]
    totals: Totals
    band: tuple[int, int]
    assumptions: list[Assumption]
    picture: SafeString
    rows: list[dict[str, str]]
    check_groups: list[dict[str, Any]]

    @property
    def hours_vary(self) -> bool:
        """Whether the tasks of its labour have a range."""
        return self.band[0] < self.band[1]


def quotes_listed(*, shop: Shop, words: str, state: str) -> QuerySet[Quote]:
    """The quotes of a list, newest first, each with the lowest total offered."""
    rows = Quote.objects.of(shop).select_related("shop", "boat", "customer", "accepted_option")
    learnt = Evidence.objects.filter(
        boat=OuterRef("boat"),
        noted_at__gt=OuterRef("run__requested_at"),
        standing__in=[Evidence.Standing.HOLDS, Evidence.Standing.DISPUTED],
    )
    rows = rows.annotate(record_learnt=Exists(learnt))
    rows = rows.filter(state=state) if state in TONES else rows.exclude(state="replaced")
    for word in words.split():
        rows = rows.filter(
            Q(number__iexact=word)
            | Q(boat__search__contains=word.lower())
            | Q(customer__search__contains=word.lower())
        )
    return rows


def add_lowest(quotes: list[Quote]) -> None:
    """Give each quote of a page its lowest total offered as `from_cents`; one query."""
    offered = QuoteOption.objects.filter(quote__in=quotes, offered=True)
    lowest = dict(offered.values_list("quote").annotate(Min("total_cents")).order_by())
    for quote in quotes:
        quote.from_cents = lowest.get(quote.pk)


def add_marks(options: list[QuoteOption]) -> None:
    """Give each option the words of the strategies that chose it, as `chosen_for`."""
    for option in options:
        option.chosen_for = [STRATEGY_WORDS[name] for name in option.strategies]


def columns_of(quote: Quote, assumptions: list[Assumption]) -> dict[int, OptionColumn]:
    """The planner's columns by option position; what was confirmed since is no longer unknown."""
    run = quote.run
    settled = {row.key for row in assumptions if row.state in SETTLED}
    entries = [entry for entry in run.assumptions if entry["key"] not in settled]
    return {column.number: column for column in option_columns(run.case, run.answer, entries)}


def sheet_of(quote: Quote, options: list[QuoteOption], assumptions: list[Assumption]) -> Sheet:
    """The options side by side, with the quote's own money and minutes."""
    columns = columns_of(quote, assumptions)
    shown = [columns[option.position] for option in options]
    sheet = options_sheet(case=quote.run.case, columns=shown, money=money_rows(options))
    minutes = [option.minutes for option in options]
    rows = [replace(row, cells=minutes) if row.key == "hours" else row for row in sheet.rows]
    return replace(sheet, rows=[*rows, *_check_rows(options)])


def _check_rows(options: list[QuoteOption]) -> list[SheetRow]:
    """What the checks found, and what their remedies would add; nothing where none were kept."""
    found = [count_words(option.checks) if option.checks else [] for option in options]
    rows = [SheetRow("Checks", "list", found, key="checks")] if any(found) else []
    cents = [_remedy_cents(option) for option in options]
    if any(cents):
        rows.append(SheetRow("Remedies proposed, not on it yet", "money", cents))
    return rows


def _remedy_cents(option: QuoteOption) -> int:
    return option.checks["remedy_cents"] if option.checks else 0


def remedies_turn(options: list[QuoteOption]) -> str:
    """Which option the proposed remedies make the cheapest, in words; "" where they do not."""
    before = min(options, key=lambda option: (option.total_cents, option.position))
    after = min(
        options, key=lambda option: (option.total_cents + _remedy_cents(option), option.position)
    )
    if before.pk == after.pk:
        return ""
    return (
        f"With the remedies that the checks propose, option {after.position} is the cheapest; "
        f"without them it is option {before.position}."
    )


def money_rows(options: list[QuoteOption]) -> list[MoneyRow]:
    """The sums of the options as rows; sums that are zero everywhere are left away."""
    rows: list[MoneyRow] = [("Total", "total", [option.total_cents for option in options])]
    for label, name in [
        ("of it goods", "goods_cents"),
        ("of it labour", "labour_cents"),
        ("of it outside work", "outside_cents"),
        ("less discounts and credits", "discount_cents"),
        ("of it tax", "tax_cents"),
        ("Deposit", "deposit_cents"),
    ]:
        cents = [getattr(option, name) for option in options]
        if any(cents):
            rows.append((label, "money", cents))
    return rows


def option_page(
    *,
    quote: Quote,
    option: QuoteOption,
    column: OptionColumn,
    assumptions: list[Assumption],
    width: int = DESK_WIDTH,
) -> OptionPage:
    """One option in full, its drawing `width` px wide; reads its lines unless prefetched."""
    lines = list(option.lines.all())
    case, plan, boat = quote.run.case, option.plan, quote.boat
    key = f"o{option.position}"
    facts = {"case": case, "plan": plan, "boat": boat, "marks": marks_of(option.checks)}
    picture = plan_picture(**facts, key=key, width=width)
    return OptionPage(
        option=option,
        column=column,
        groups=list(_grouped([line for line in lines if not line.left_out])),
        left_out=[line for line in lines if line.left_out],
        totals=totals_of(quote=quote, rows=lines),
        band=band_of(lines),
        assumptions=[row for row in assumptions if row.speaks_of(option)],
        # The drawing escapes every word it is given; it is made here, never stored.
        picture=mark_safe(picture),  # noqa: S308 -- markup of our own making
        rows=plan_rows(**facts),
        check_groups=groups_of(option.checks),
    )


def _grouped(lines: list[QuoteLine]) -> Iterator[tuple[str, list[QuoteLine]]]:
    for label, kinds in GROUPS:
        found = [line for line in lines if line.kind in kinds]
        if found:
            yield label, found


NOTED_SHOWN = 6
MAY_PLAN_AGAIN = (*Quote.OPEN_STATES, "sent")


def noted_since(quote: Quote) -> list[Evidence]:
    """What the boat's record learnt after the quote was planned; at most six, newest first."""
    if quote.state not in MAY_PLAN_AGAIN or quote.boat.facts_changed_at <= quote.run.requested_at:
        return []
    rows = quote.boat.evidence.filter(noted_at__gt=quote.run.requested_at)
    rows = rows.filter(standing__in=[Evidence.Standing.HOLDS, Evidence.Standing.DISPUTED])
    rows = rows.select_related("by", "unit", "bank", "location", "route__a", "route__b", "cable")
    found = list(rows.order_by("-noted_at", "-pk")[:NOTED_SHOWN])
    for row in found:
        row.words = _noted_words(row)
    return found


def _noted_words(row: Evidence) -> str:
    about = row.unit or row.bank or row.location or row.cable
    name = getattr(about, "name", None) or getattr(about, "label", None)
    if row.route:
        name = f"{row.route.a.name} to {row.route.b.name}"
    return f"{f'{name}: ' if name else ''}{label_of(row)} {row.value or 'not known'}"


def changes_of(quote: Quote, *, offered_only: bool = False) -> Changes | None:
    """What differs from the revision before; None for a first one. Reads both whole."""
    if quote.replaces_id is None:
        return None
    rows = Quote.objects.prefetch_related("options__lines", "assumptions")
    both = {row.pk: row for row in rows.filter(pk__in=[quote.pk, quote.replaces_id])}
    before, after = both[quote.replaces_id], both[quote.pk]
    return changes_between(before, after, offered_only=offered_only)


def sent_before(quote: Quote) -> bool:
    """Whether the revision before went out, so that the customer can compare."""
    return quote.replaces_id is not None and quote.replaces.sent_at is not None


def chosen_option(options: list[QuoteOption], asked: str, quote: Quote) -> QuoteOption:
    """The option asked for by its position; else the accepted one, else the first."""
    for option in options:
        if str(option.position) == asked:
            return option
    accepted = [option for option in options if option.pk == quote.accepted_option_id]
    return (accepted or options)[0]


def customer_options(quote: Quote, *, only: QuoteOption | None = None) -> dict[str, Any]:
    """What the customer's page shows of the options: all offered, or the one accepted."""
    rows = quote.options.prefetch_related("lines").filter(offered=True)
    options = [row for row in rows if only is None or row.pk == only.pk]
    assumptions = list(quote.assumptions.all())
    columns = columns_of(quote, assumptions)
    pages = [
        option_page(
            quote=quote,
            option=option,
            column=columns[option.position],
            assumptions=assumptions,
            width=CUSTOMER_WIDTH,
        )
        for option in options
    ]
    for row in assumptions:
        row.speaks_here_of = [o.position for o in options if row.speaks_of(o)]
    return {"pages": pages, "assumptions": [row for row in assumptions if row.speaks_here_of]}
