"""What the pages of parts ask for."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, F, IntegerField, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from shopapp.accounts.models import Shop
from shopapp.catalog.models import Part, Supplier
from shopapp.stock.models import StockItem

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
    """One change of a count: pieces before (None at the first) and after, and why."""

    when: datetime
    who: str
    place: str
    before: int | None
    after: int
    reserved: int
    reason: str


def counts_of(part: Part) -> list[Counted]:
    """The latest changes of the part's counts, newest first; one query."""
    rows = StockItem.history.filter(part_id=part.pk).select_related("history_user")
    records = list(rows.order_by("-history_date", "-history_id")[: COUNTS_SHOWN + 1])
    found = []
    for number, row in enumerate(records[:COUNTS_SHOWN]):
        earlier = next((r for r in records[number + 1 :] if r.id == row.id), None)
        who = str(row.history_user) if row.history_user else "the system"
        before = earlier.on_hand if earlier else None
        reason = row.history_change_reason or ""
        found.append(
            Counted(row.history_date, who, row.place, before, row.on_hand, row.reserved, reason)
        )
    return found
