"""The sums of an option: whole cents, one rounding rule, every sum adds up.

Pure: values in, values out. The rules, as a shop works (common practice, no
source; taxes are the shop's own table):

- Labour minutes of an option add up, are rounded up to the quarter hour and
  priced once; what the rounding adds stands on the sheet as a line of its own.
- Shop supplies are a percentage of labour after discounts, up to a cap.
- Each tax rate is taken once from the sum of its kind of line after the line
  discounts, rounded half up. Supplies and travel count as labour.
- Credits come off at the end and lessen no tax.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

from shopapp.money import percent_of, round_cents

QUARTER = 15
GOODS = frozenset({"equipment", "small"})
LABOUR = frozenset({"labour", "supplies", "travel"})
OUTSIDE = frozenset({"outside"})
CREDIT = "credit"


@dataclass(frozen=True, slots=True)
class Line:
    """What a line needs to be priced; `unit_cents` of labour is the price of an hour."""

    kind: str
    quantity: int = 1
    minutes: int = 0
    unit_cents: int = 0
    discount_percent: Decimal = Decimal(0)
    computed: bool = False


@dataclass(frozen=True, slots=True)
class Tax:
    """A tax rate as it stood when the quote was made."""

    name: str
    applies_to: str
    percent: Decimal


@dataclass(frozen=True, slots=True)
class Rates:
    """The money rules frozen on the quote."""

    labour_cents_per_hour: int
    supplies_percent: Decimal
    supplies_cap_cents: int
    deposit_percent: int
    taxes: tuple[Tax, ...] = ()


@dataclass(frozen=True, slots=True)
class Totals:
    """All sums in cents; `total = goods + labour + outside - discount + tax`.

    `lines` are the net totals of the lines in their order; `rounding_cents` and
    `rounding_minutes` are what the quarter hour adds to the labour.
    """

    lines: tuple[int, ...]
    supplies_unit_cents: int
    goods_cents: int
    labour_cents: int
    outside_cents: int
    line_discount_cents: int
    credit_cents: int
    taxes: tuple[tuple[Tax, int], ...]
    deposit_cents: int
    minutes: int
    rounding_minutes: int
    rounding_cents: int

    @property
    def discount_cents(self) -> int:
        """Line discounts and credits together."""
        return self.line_discount_cents + self.credit_cents

    @property
    def tax_cents(self) -> int:
        """All taxes together."""
        return sum(cents for _, cents in self.taxes)

    @property
    def total_cents(self) -> int:
        """What the customer pays."""
        parts = self.goods_cents + self.labour_cents + self.outside_cents
        return parts - self.discount_cents + self.tax_cents


def add_up(lines: Iterable[Line], rates: Rates) -> Totals:
    """The totals of an option's lines."""
    rows = tuple(lines)
    rounding_minutes, rounding_cents = _quarter_hour(rows, rates.labour_cents_per_hour)
    supplies = _supplies(rows, rounding_cents, rates)
    gross = tuple(supplies if row.computed else gross_of(row) for row in rows)
    off = tuple(
        percent_of(sum_, row.discount_percent) for row, sum_ in zip(rows, gross, strict=True)
    )
    net = tuple(sum_ - less for sum_, less in zip(gross, off, strict=True))
    taxes = tuple((tax, _tax(tax, rows, net, rounding_cents)) for tax in rates.taxes)
    labour = _of(LABOUR, rows, gross) + rounding_cents
    totals = Totals(
        lines=net,
        supplies_unit_cents=supplies,
        goods_cents=_of(GOODS, rows, gross),
        labour_cents=labour,
        outside_cents=_of(OUTSIDE, rows, gross),
        line_discount_cents=sum(o for row, o in zip(rows, off, strict=True) if row.kind != CREDIT),
        credit_cents=-_of(frozenset({CREDIT}), rows, net),
        taxes=taxes,
        deposit_cents=0,
        minutes=sum(row.minutes for row in rows if row.kind == "labour") + rounding_minutes,
        rounding_minutes=rounding_minutes,
        rounding_cents=rounding_cents,
    )
    return _with_deposit(totals, rates)


def gross_of(line: Line) -> int:
    """A line's price before its discount."""
    if line.kind == "labour":
        return round_cents(Decimal(line.minutes) * line.unit_cents / 60)
    return line.quantity * line.unit_cents


def quarter_up(minutes: int) -> int:
    """Minutes rounded up to the quarter hour."""
    return -(-minutes // QUARTER) * QUARTER


def _quarter_hour(rows: tuple[Line, ...], rate: int) -> tuple[int, int]:
    work = [row for row in rows if row.kind == "labour"]
    minutes = sum(row.minutes for row in work)
    more = quarter_up(minutes) - minutes
    exact = sum((Decimal(row.minutes) * row.unit_cents for row in work), Decimal(more) * rate) / 60
    return more, round_cents(exact) - sum(gross_of(row) for row in work)


def _supplies(rows: tuple[Line, ...], rounding_cents: int, rates: Rates) -> int:
    work = [row for row in rows if row.kind == "labour"]
    net = sum(gross_of(row) - percent_of(gross_of(row), row.discount_percent) for row in work)
    share = percent_of(max(net + rounding_cents, 0), rates.supplies_percent)
    return min(share, rates.supplies_cap_cents)


def _of(kinds: frozenset[str], rows: tuple[Line, ...], cents: tuple[int, ...]) -> int:
    return sum(sum_ for row, sum_ in zip(rows, cents, strict=True) if row.kind in kinds)


def _tax(tax: Tax, rows: tuple[Line, ...], net: tuple[int, ...], rounding_cents: int) -> int:
    kinds = {"goods": GOODS, "labour": LABOUR, "outside": OUTSIDE}[tax.applies_to]
    base = _of(kinds, rows, net) + (rounding_cents if tax.applies_to == "labour" else 0)
    return percent_of(base, tax.percent)


def _with_deposit(totals: Totals, rates: Rates) -> Totals:
    due = percent_of(max(totals.total_cents, 0), Decimal(rates.deposit_percent))
    return replace(totals, deposit_cents=due)
