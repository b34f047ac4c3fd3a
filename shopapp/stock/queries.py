"""What the pages of parts ask for."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Exists, F, IntegerField, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from shopapp.accounts.models import Shop
from shopapp.catalog.models import Part, Supplier
from shopapp.stock.models import CountSheet, Movement, StockItem

COUNTS_SHOWN = 30


def _sum_of(expression: F) -> Coalesce:
    rows = StockItem.objects.filter(part=OuterRef("pk")).order_by().values("part")
    total = rows.annotate(total=Sum(expression)).values("total")
    return Coalesce(Subquery(total, output_field=IntegerField()), 0)


def parts_found(shop: Shop, asked: dict[str, str]) -> QuerySet[Part]:
    """Parts by words (`q`), `kind`, `supplier`; `short=yes`: none free; `retired=yes`."""
    rows = shop.parts.select_related("supplier", "superseded_by").matching(asked.get("q", ""))
    rows = rows.filter(retired_at__isnull=asked.get("retired") != "yes")
    if asked.get("kind") in Part.PartKind.values:
        rows = rows.filter(kind=asked["kind"])
    if asked.get("supplier", "").isdecimal():
        rows = rows.filter(supplier=int(asked["supplier"][:9]))
    if asked.get("short") == "yes":
        free = StockItem.objects.filter(part=OuterRef("pk"), on_hand__gt=F("reserved"))
        rows = rows.filter(~Exists(free), superseded_by=None)
    return rows.annotate(on_hand=_sum_of(F("on_hand")), free=_sum_of(F("on_hand") - F("reserved")))


def suppliers_found(shop: Shop, words: str, *, retired: bool) -> QuerySet[Supplier]:
    """Suppliers whose name holds every word."""
    rows = shop.suppliers.filter(retired_at__isnull=not retired)
    for word in words.split():
        rows = rows.filter(name__icontains=word)
    return rows


@dataclass(frozen=True)
class Counted:
    """One movement: pieces on hand before and after, what it was, for whom and why."""

    when: datetime
    who: str
    place: str
    kind: str
    before: int
    after: int
    reserved: int
    picked: int
    ref: str
    reason: str


def counts_of(part: Part) -> list[Counted]:
    """The latest movements of the part, newest first, with the counts they led to; one query."""
    rows = Movement.objects.filter(stock__part=part).select_related("by", "stock")
    left: dict[int, int] = {}
    found = []
    for row in rows.order_by("-at", "-pk")[:COUNTS_SHOWN]:
        after = left.get(row.stock_id, row.stock.on_hand)
        found.append(_counted(row, row.stock, after))
        left[row.stock_id] = after - row.on_hand
    return found


def _counted(row: Movement, item: StockItem, after: int) -> Counted:
    return Counted(
        when=row.at,
        who=str(row.by) if row.by else "the system",
        place=item.place,
        kind=row.get_kind_display(),
        before=after - row.on_hand,
        after=after,
        reserved=row.reserved,
        picked=row.picked,
        ref=row.ref,
        reason=row.reason,
    )


def places_of(shop: Shop) -> QuerySet[dict[str, object]]:
    """Every place with its parts, pieces and last count; never counted ones first."""
    counted = CountSheet.objects.filter(shop=shop, place=OuterRef("place"), state="booked")
    newest = counted.order_by("-booked_at").values("booked_at")[:1]
    rows = StockItem.objects.of(shop).order_by().values("place")
    rows = rows.annotate(parts=Count("pk"), pieces=Sum("on_hand"), counted_at=Subquery(newest))
    return rows.order_by(F("counted_at").asc(nulls_first=True), "place")


def unexplained(shop: Shop) -> QuerySet[StockItem]:
    """Items whose counts are not the sums of their movements; there should be none."""
    sums = Movement.objects.filter(stock=OuterRef("pk")).order_by().values("stock")
    facts = {
        f"moved_{name}": Coalesce(
            Subquery(sums.annotate(total=Sum(name)).values("total"), output_field=IntegerField()),
            0,
        )
        for name in ("on_hand", "reserved", "picked")
    }
    rows = StockItem.objects.of(shop).annotate(**facts).select_related("part")
    return rows.exclude(
        on_hand=F("moved_on_hand"), reserved=F("moved_reserved"), picked=F("moved_picked")
    )
