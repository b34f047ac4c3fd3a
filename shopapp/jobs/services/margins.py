"""What a second person should look at: a total past the shop's limit, a margin under its floor.

Pure: sums in, words out. The floors are the shop's own settings by kind of line. A credit
counts against the equipment: until the traded-in unit is sold it is a discount. A cost that
is not known is said, never taken as fine.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

from shopapp.money import round_cents, show

CREDIT = "credit"
WORDS = {"equipment": "equipment", "small": "small parts", "labour": "labour"}


@dataclass(frozen=True, slots=True)
class Limits:
    """The shop's limits; None is not asked for. Floors are per cent by kind of line."""

    over_cents: int | None
    floors: dict[str, int | None]
    labour_cost_cents_per_hour: int | None
    currency: str = "USD"


@dataclass(frozen=True, slots=True)
class Sold:
    """A line as sold: its net in cents, its cost in all, None where that is not known."""

    kind: str
    what: str
    net_cents: int
    cost_cents: int | None


@dataclass(frozen=True, slots=True)
class Margin:
    """One kind of line of an option: per cent to a tenth, None where a cost is not known."""

    kind: str
    net_cents: int
    cost_cents: int | None
    percent: Decimal | None
    unknown: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """The kind of line in words."""
        return WORDS[self.kind].capitalize()


def margin_of(kind: str, lines: Iterable[Sold]) -> Margin | None:
    """The margin of one kind of line; None where nothing of the kind is sold."""
    rows = [row for row in lines if row.kind == kind]
    if not rows:
        return None
    lent = [row for row in lines if row.kind == CREDIT] if kind == "equipment" else []
    net = sum(row.net_cents for row in [*rows, *lent])
    unknown = tuple(row.what for row in rows if row.cost_cents is None)
    if unknown:
        return Margin(kind, net, None, None, unknown)
    cost = sum(row.cost_cents for row in rows)
    return Margin(kind, net, cost, _percent(net, cost))


def _percent(net: int, cost: int) -> Decimal | None:
    if net <= 0:
        return Decimal(-100) if cost else None
    # Rounded down, so that a margin is never shown as reaching a floor that it misses.
    share = Decimal(net - cost) * 100 / net
    return share.quantize(Decimal("0.1"), rounding=ROUND_FLOOR)


def labour_cost(minutes: int, limits: Limits) -> int | None:
    """What these minutes cost the shop, in cents; None where its rate is not known."""
    rate = limits.labour_cost_cents_per_hour
    return None if rate is None else round_cents(Decimal(minutes) * rate / 60)


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that asks for a second look; `about` is "total" or "margin"."""

    about: str
    text: str


def findings_of(
    *, option: str, total_cents: int, lines: list[Sold], limits: Limits
) -> list[Finding]:
    """What asks for a second person's look at one option, in words."""
    return [*_of_total(option, total_cents, limits), *_of_margins(option, lines, limits)]


def _of_total(option: str, total_cents: int, limits: Limits) -> Iterator[Finding]:
    if limits.over_cents is not None and total_cents > limits.over_cents:
        total, limit = (show(one, limits.currency) for one in (total_cents, limits.over_cents))
        words = f"{option}: its total of {total} passes the shop's limit of {limit}."
        yield Finding("total", words)


def _of_margins(option: str, lines: list[Sold], limits: Limits) -> Iterator[Finding]:
    for kind, floor in limits.floors.items():
        margin = margin_of(kind, lines) if floor is not None else None
        if margin is None:
            continue
        if margin.unknown:
            words = f"{option}: what {_some(margin.unknown)} costs us is not known."
            yield Finding("margin", words)
        elif margin.percent is not None and margin.percent < floor:
            words = f"{option}: the margin on {WORDS[kind]} is {margin.percent} %"
            yield Finding("margin", f"{words}, under the shop's {floor} %.")


def _some(names: tuple[str, ...]) -> str:
    more = f" and {len(names) - 2} more" if len(names) > 2 else ""
    return f"{', '.join(names[:2])}{more}"
