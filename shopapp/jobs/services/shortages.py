"""What the open pick lists are short of, and the purchase orders that come of it."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from django.db import transaction
from django.db.models import Count, F, Min, Q, QuerySet, Sum

from shopapp.accounts.models import Shop, User
from shopapp.catalog.models import Part, Supplier
from shopapp.errors import FactRefused
from shopapp.jobs.models import PickLine, PickList
from shopapp.jobs.services.picking import add_line
from shopapp.stock.models import PurchaseLine, PurchaseOrder, StockItem, SupplierPrice
from shopapp.stock.order_states import OPEN
from shopapp.stock.ordering import add_to_order, draft_for, speak_for

OPEN_LISTS = (PickList.State.OPEN, PickList.State.STAGED)
MOST_PARTS = 500


@dataclass
class Shortage:
    """One part that jobs are short of: how many, for how many jobs, from when on."""

    part: Part
    missing: int
    jobs: int
    first_day: date | None
    free: int = 0
    coming: int = 0
    prices: list[SupplierPrice] = field(default_factory=list)

    @property
    def best(self) -> SupplierPrice | None:
        """The part's own supplier's price, else the cheapest."""
        own = (one for one in self.prices if one.supplier_id == self.part.supplier_id)
        return next(own, self.prices[0] if self.prices else None)

    @property
    def supplier(self) -> Supplier | None:
        """Where it is bought, where that is known."""
        return self.part.supplier or (self.best.supplier if self.best else None)

    @property
    def to_order(self) -> int:
        """Pieces that neither lie free on a shelf nor are on order for nobody."""
        return max(self.missing - self.free - self.coming, 0)

    @property
    def unit_cents(self) -> int | None:
        """What one costs; None where nobody knows."""
        return self.best.price_cents if self.best else self.part.cost_cents

    @property
    def days(self) -> int | None:
        """Days until it is here."""
        if self.best:
            return self.best.days
        return self.supplier.lead_days if self.supplier else None


@dataclass
class SupplierGroup:
    """What is short, of one supplier; None where nobody knows who sells it."""

    supplier: Supplier | None
    rows: list[Shortage]

    @property
    def total_cents(self) -> int:
        """What ordering all of it comes to, as far as prices are known."""
        return sum((row.unit_cents or 0) * row.to_order for row in self.rows)

    @property
    def unpriced(self) -> int:
        """Parts of which nobody knows the price."""
        return sum(row.unit_cents is None for row in self.rows)


def short_lines(shop: Shop) -> QuerySet[PickLine]:
    """Lines of open lists of which something is reserved nowhere."""
    return PickLine.objects.filter(
        state=PickLine.State.SHORT, pick_list__state__in=OPEN_LISTS, pick_list__job__shop=shop
    )


def shortages_of(shop: Shop) -> list[SupplierGroup]:
    """What is short, by supplier; six queries however many lists are open."""
    rows = short_lines(shop).order_by().values("part")
    found = rows.annotate(
        missing=Sum(F("wanted") - F("reserved") - F("ordered")),
        jobs=Count("pick_list__job", distinct=True),
        first_day=Min("pick_list__job__planned_on"),
    ).order_by("first_day", "part")[:MOST_PARTS]
    by_part = {row["part"]: row for row in found}
    parts = Part.objects.filter(pk__in=by_part).select_related("supplier").order_by("number")
    shortages = [
        Shortage(part, *(by_part[part.pk][name] for name in ("missing", "jobs", "first_day")))
        for part in parts
    ]
    _fill_in(shortages)
    return _by_supplier(shortages)


def _fill_in(shortages: list[Shortage]) -> None:
    rows = {one.part.pk: one for one in shortages}
    free = StockItem.objects.filter(part__in=rows).to_give_out().order_by().values("part")
    for found in free.annotate(free=Sum(F("on_hand") - F("reserved"))):
        rows[found["part"]].free = found["free"]
    for line in coming_lines().filter(part__in=rows):
        rows[line.part_id].coming += line.unspoken
    for price in SupplierPrice.objects.filter(part__in=rows).select_related("supplier"):
        rows[price.part_id].prices.append(price)


def _by_supplier(shortages: list[Shortage]) -> list[SupplierGroup]:
    groups: dict[int | None, SupplierGroup] = {}
    for one in shortages:
        key = one.supplier.pk if one.supplier else None
        groups.setdefault(key, SupplierGroup(one.supplier, [])).rows.append(one)
    known = sorted((g for g in groups.values() if g.supplier), key=lambda g: g.supplier.name)
    return known + [group for group in groups.values() if not group.supplier]


def coming_lines() -> QuerySet[PurchaseLine]:
    """Lines of orders not ended with pieces still to come that nobody waits for."""
    rows = PurchaseLine.objects.filter(order__state__in=OPEN)
    return rows.filter(quantity__gt=F("spoken") + F("received"))


@dataclass(frozen=True)
class Want:
    """A part to order of a supplier."""

    part: Part
    supplier: Supplier
    quantity: int


@transaction.atomic
def order_wanted(*, shop: Shop, wants: Iterable[Want], by: User) -> list[PurchaseOrder]:
    """Put what is wanted on each supplier's draft; waiting lines speak for their pieces.

    FactRefused (`part-<pk>`) for a quantity that cannot be right; nothing is ordered then.
    """
    orders: dict[int, PurchaseOrder] = {}
    for want in sorted(wants, key=lambda one: (one.supplier.pk, one.part.pk)):
        order = orders.get(want.supplier.pk) or draft_for(supplier=want.supplier, by=by)
        orders[want.supplier.pk] = order
        try:
            add_to_order(order=order, part=want.part, quantity=want.quantity)
        except FactRefused as error:
            error.field = f"part-{want.part.pk}"
            raise
        speak_for_waiting(shop=shop, part=want.part)
    return list(orders.values())


@transaction.atomic
def speak_for_waiting(*, shop: Shop, part: Part) -> int:
    """Let the short lines of a part, soonest job first, speak for pieces on order; pieces."""
    orders = list(coming_lines().filter(part=part).order_by("promised_on", "pk"))
    return sum(_speak_along(line, orders) for line in waiting_for(shop=shop, part=part))


def _speak_along(line: PickLine, orders: list[PurchaseLine]) -> int:
    """One line speaks along the orders, which run out from the front; pieces."""
    found, rest = 0, line
    while orders and rest.missing:
        count = min(rest.missing, orders[0].unspoken)
        if not count or not speak_for(line=orders[0], count=count):
            orders.pop(0)
            continue
        orders[0].spoken += count
        rest = _speak(rest, orders[0], count)
        found += count
    return found


def waiting_for(*, shop: Shop, part: Part) -> list[PickLine]:
    """The short lines of a part, soonest job first, real wants before spares; lists locked."""
    rows = short_lines(shop).filter(part=part, reserved=0, issued=0)
    lists = PickList.objects.filter(lines__in=rows).order_by("pk")
    list(PickList.objects.select_for_update().filter(pk__in=lists).order_by("pk"))
    rows = rows.select_related("part", "pick_list__job", "purchase_line")
    return list(
        rows.order_by(
            F("pick_list__job__planned_on").asc(nulls_last=True), "spare", "pick_list", "position"
        )
    )


def _speak(line: PickLine, order: PurchaseLine, count: int) -> PickLine:
    """A line takes its share of an order; what is left over is a line of its own, returned."""
    rest = line.wanted - count
    line.wanted = line.ordered = count
    line.purchase_line = order
    line.settle_state().save()
    return add_line(like=line, wanted=rest) if rest else line


@transaction.atomic
def lines_of_order_short_again(*, order: PurchaseOrder) -> int:
    """An order ended: what lines had spoken for on it is short once more; lines."""
    rows = PickLine.objects.filter(purchase_line__order=order, ordered__gt=0)
    lines = list(rows)
    for line in lines:
        line.ordered, line.purchase_line = 0, None
        line.settle_state()
    PickLine.objects.bulk_update(lines, ["ordered", "purchase_line", "state"])
    PurchaseLine.objects.filter(order=order).update(spoken=0)
    return len(lines)


def waiting_on(order: PurchaseOrder) -> QuerySet[PickLine]:
    """The pick lines that wait for an order's pieces."""
    rows = PickLine.objects.filter(Q(purchase_line__order=order), ordered__gt=0)
    return rows.select_related("pick_list__job__boat")
