"""Lines of an option: copied from the plan, added, changed, left out; sums follow."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.db import transaction

from shopapp.accounts.models import Shop
from shopapp.catalog.models import EquipmentModel, LabourTask, Part
from shopapp.errors import FactRefused
from shopapp.jobs.models import Quote, QuoteLine, QuoteOption
from shopapp.jobs.services.editing import claim_edit
from shopapp.jobs.services.planned import bought_of, spread_of, work_of
from shopapp.jobs.services.totals import Line, Rates, Tax, Totals, add_up
from shopapp.jobs.services.wording import Names, names_of, work_words

Kinds = QuoteLine.LineKind
JsonDict = dict[str, Any]
# Once a visit, whatever the plan: make safe before, label, prove and hand over after.
BEFORE_WORK = ("T01",)
AFTER_WORK = ("T42", "T43", "T45")


@dataclass(frozen=True)
class Shelf:
    """What the shop sells, by the ids that a case uses; read once for all options."""

    models: dict[str, Part | None] = field(default_factory=dict)
    parts: dict[str, Part] = field(default_factory=dict)
    tasks: dict[str, LabourTask] = field(default_factory=dict)

    def part(self, key: str) -> Part | None:
        """The part of a model's code or of a part's number; None where it is gone."""
        return self.models[key] if key in self.models else self.parts.get(key)


def shelf_of(*, shop: Shop, keys: set[str]) -> Shelf:
    """The rows behind the ids that a plan buys, and the standard labour; three queries."""
    models = EquipmentModel.objects.of(shop).filter(code__in=keys).select_related("part")
    parts = Part.objects.of(shop).filter(number__in=keys)
    tasks = LabourTask.objects.of(shop).current().filter(code__in=BEFORE_WORK + AFTER_WORK)
    return Shelf(
        {model.code: model.part for model in models},
        {part.number: part for part in parts},
        {task.code: task for task in tasks},
    )


def lines_from_plan(
    *,
    quote: Quote,
    case: JsonDict,
    plan: JsonDict,
    shelf: Shelf,
    small: Iterable[QuoteLine] = (),
) -> list[QuoteLine]:
    """The lines that a plan needs, unsaved, in the order of the sheet, at the case's prices.

    `small` are lines of small parts, put behind the goods.
    """
    names = names_of(case)
    rows = [
        *_goods(case, plan, shelf, names),
        *small,
        *_standard(quote, shelf, BEFORE_WORK),
        *_labour(quote, case, plan, names),
        *_standard(quote, shelf, AFTER_WORK),
        _supplies(quote),
    ]
    for position, row in enumerate(rows, start=1):
        row.position = position
        row.from_plan = True
    return rows


def _goods(case: JsonDict, plan: JsonDict, shelf: Shelf, names: Names) -> Iterator[QuoteLine]:
    for item in bought_of(case, plan):
        part = shelf.part(item.part)
        number = part.number if part else item.part
        name = names.model(item.part) if item.equipment else names.part(item.part)
        yield QuoteLine(
            kind=Kinds.EQUIPMENT if item.equipment else Kinds.SMALL,
            part=part,
            description=(name if name == number else f"{name} ({number})")[:200],
            quantity=item.count,
            unit_cents=item.price_cents,
            cost_cents=part.cost_cents if part else None,
            why=item.why,
        )


def _labour(quote: Quote, case: JsonDict, plan: JsonDict, names: Names) -> Iterator[QuoteLine]:
    for item in work_of(case, plan):
        low, high = spread_of(item)
        yield QuoteLine(
            kind=Kinds.LABOUR,
            description=work_words(item, names),
            minutes=item.minutes,
            low_minutes=low,
            high_minutes=high,
            unit_cents=quote.labour_cents_per_hour,
        )


def _standard(quote: Quote, shelf: Shelf, codes: tuple[str, ...]) -> Iterator[QuoteLine]:
    for code in codes:
        task = shelf.tasks.get(code)
        if task is not None:
            yield QuoteLine(
                kind=Kinds.LABOUR,
                task=task,
                description=task.name,
                minutes=task.typical_minutes,
                low_minutes=task.low_minutes,
                high_minutes=task.high_minutes,
                unit_cents=quote.labour_cents_per_hour,
                why="once a visit",
            )


def _supplies(quote: Quote) -> QuoteLine:
    return QuoteLine(
        kind=Kinds.SUPPLIES,
        description="Shop supplies: ties, heat-shrink, sealant, crimp ends",
        why=f"{quote.supplies_percent.normalize():f} % of labour, up to a cap",
    )


def rates_of(quote: Quote) -> Rates:
    """The money rules frozen on the quote."""
    taxes = [Tax(row["name"], row["applies_to"], Decimal(row["percent"])) for row in quote.taxes]
    return Rates(
        labour_cents_per_hour=quote.labour_cents_per_hour,
        supplies_percent=quote.supplies_percent,
        supplies_cap_cents=quote.supplies_cap_cents,
        deposit_percent=quote.deposit_percent,
        taxes=tuple(taxes),
    )


def priced(row: QuoteLine) -> Line:
    """A row as the sums see it; the plan's own supplies line is computed from the labour."""
    return Line(
        kind=row.kind,
        quantity=row.quantity,
        minutes=row.minutes,
        unit_cents=row.unit_cents,
        discount_percent=row.discount_percent,
        computed=row.kind == Kinds.SUPPLIES and row.from_plan,
    )


def totals_of(*, quote: Quote, rows: list[QuoteLine]) -> Totals:
    """The sums of an option's rows; what is left out costs nothing."""
    return add_up([priced(row) for row in rows if not row.left_out], rates_of(quote))


def apply_totals(*, quote: Quote, option: QuoteOption, rows: list[QuoteLine]) -> None:
    """Put the sums onto the option and its rows, unsaved. FactRefused where they fall below 0."""
    totals = totals_of(quote=quote, rows=rows)
    if totals.total_cents < 0:
        raise FactRefused(
            "The credits are larger than everything else on this option.",
            field="price",
            todo="Make the credit smaller.",
        )
    net = iter(totals.lines)
    for row in rows:
        row.total_cents = 0 if row.left_out else next(net)
        if priced(row).computed:
            row.unit_cents = totals.supplies_unit_cents
    for name in OPTION_SUMS:
        setattr(option, name, getattr(totals, name))


OPTION_SUMS = (
    "goods_cents",
    "labour_cents",
    "outside_cents",
    "discount_cents",
    "tax_cents",
    "total_cents",
    "deposit_cents",
    "minutes",
)


def recount(*, quote: Quote, option: QuoteOption) -> None:
    """Add an option up again and save what changed."""
    rows = list(option.lines.all())
    apply_totals(quote=quote, option=option, rows=rows)
    QuoteLine.objects.bulk_update(rows, ["total_cents", "unit_cents"])
    option.save(update_fields=OPTION_SUMS)


@transaction.atomic
def add_line(*, option: QuoteOption, facts: JsonDict) -> QuoteLine:
    """Put a line at the end of an open quote's option; `facts` are the row's own columns."""
    quote = option.quote
    claim_edit(quote=quote)
    last = option.lines.order_by("-position").first()
    row = QuoteLine(option=option, position=last.position + 1 if last else 1, **facts)
    if row.kind == Kinds.LABOUR and not row.unit_cents:
        row.unit_cents = quote.labour_cents_per_hour
    row.save()
    recount(quote=quote, option=option)
    return row


@transaction.atomic
def change_line(*, line: QuoteLine, seen: int, facts: JsonDict) -> None:
    """Write a line's new quantity, minutes, price or discount.

    A price set by hand on the computed supplies line makes it an ordinary one.
    StaleRecord where the quote changed since version `seen`.
    """
    option = line.option
    claim_edit(quote=option.quote, seen=seen)
    if priced(line).computed and facts.get("unit_cents", line.unit_cents) != line.unit_cents:
        line.from_plan = False
    if facts.get("minutes", line.minutes) != line.minutes:
        # Minutes set by hand are a person's own guess: the table's range speaks of them no more.
        line.low_minutes = line.high_minutes = None
    for name, value in facts.items():
        setattr(line, name, value)
    line.save()
    recount(quote=option.quote, option=option)


@transaction.atomic
def take_line_off(*, line: QuoteLine, seen: int, why: str = "") -> None:
    """Remove a line; one that the plan needs stays on the sheet as left out, with the reason.

    FactRefused where such a line is to go without a reason.
    """
    _check_explained(line, why)
    option = line.option
    claim_edit(quote=option.quote, seen=seen)
    if line.from_plan:
        line.left_out, line.why = True, why.strip()[:200]
        line.save()
    else:
        line.delete()
    recount(quote=option.quote, option=option)


def _check_explained(line: QuoteLine, why: str) -> None:
    if line.from_plan and not why.strip():
        raise FactRefused("The plan needs this line.", field="why", todo="Say why it is left out.")


@transaction.atomic
def put_line_back(*, line: QuoteLine, seen: int) -> None:
    """Charge a line again that was left out."""
    option = line.option
    claim_edit(quote=option.quote, seen=seen)
    line.left_out, line.why = False, ""
    line.save()
    recount(quote=option.quote, option=option)
