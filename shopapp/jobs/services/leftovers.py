"""What comes back from the boat: unopened to the shelf, opened to the van, broken to scrap."""

from django.db import transaction
from django.db.models import F, QuerySet

from shopapp.accounts.models import Shop, User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import PickLine
from shopapp.stock.models import Movement, Piece, Place, StockItem
from shopapp.stock.services import book, item_at

Kind = Movement.MoveKind
WAYS = {"shelf": "Unopened, to the shelf", "van": "Opened, to van stock", "scrap": "Scrapped"}


def leftovers_of(shop: Shop) -> QuerySet[PickLine]:
    """Lines with pieces out, of jobs whose work is done: what should have come back."""
    rows = PickLine.objects.filter(
        pick_list__job__shop=shop, state=PickLine.State.ISSUED, pick_list__settled_at__isnull=False
    )
    return rows.select_related(
        "part", "stock", "pick_list__job__boat", "pick_list__job__technician"
    )


@transaction.atomic
def bring_back(
    *, line: PickLine, count: int, way: str, place: str = "", reason: str = "", by: User
) -> PickLine:
    """Write what became of pieces that were issued and not used.

    FactRefused beside `count`, `way`, `place` or `reason`; MoveRefused where nothing is out.
    """
    line = (
        PickLine.objects.select_for_update(of=("self",))
        .select_related("part", "stock", "pick_list__job")
        .get(pk=line.pk)
    )
    _check_back(line, count, way, reason)
    words = {"ref": line.pick_list.job.number, "by": by, "reason": reason.strip()[:100]}
    item = _item_for(line, way, place)
    book(item, Kind.RETURN, on_hand=count, **words)
    if way == "scrap":
        book(item, Kind.SCRAP, on_hand=-count, **words)
    _count_back(line, count, scrapped=way == "scrap")
    _boxes_back(line, count, item, scrapped=way == "scrap")
    return line


def _check_back(line: PickLine, count: int, way: str, reason: str) -> None:
    if not line.out:
        raise MoveRefused(f"Nothing of {line.part.number} is out any more.")
    if not 1 <= count <= line.out:
        raise FactRefused(
            f"{line.out} of {line.part.number} are out, so {count} cannot come back.", field="count"
        )
    if way not in WAYS:
        raise FactRefused("Say where it goes: shelf, van or scrap.", field="way")
    if way == "scrap" and not reason.strip():
        raise FactRefused("Say why it is scrapped.", field="reason")


def _item_for(line: PickLine, way: str, place: str) -> StockItem:
    if way != "van":
        return line.stock if not place.strip() else item_at(part=line.part, place=place)
    if not place.strip():
        raise FactRefused("Say into which van.", field="place")
    item = item_at(part=line.part, place=place)
    Place.objects.get_or_create(shop_id=item.shop_id, name=item.place, defaults={"kind": "van"})
    return item


def _count_back(line: PickLine, count: int, *, scrapped: bool) -> None:
    name = "scrapped" if scrapped else "returned"
    ends = F("used") + F("returned") + F("scrapped") + count
    rows = PickLine.objects.filter(pk=line.pk, issued__gte=ends)
    setattr(line, name, getattr(line, name) + count)
    line.settle_state()
    if not rows.update(**{name: F(name) + count, "state": line.state}):
        raise MoveRefused("Somebody else wrote this down first.", todo="Load the page again.")


def _boxes_back(line: PickLine, count: int, item: StockItem, *, scrapped: bool) -> None:
    rows = Piece.objects.filter(
        part=line.part, ref=line.pick_list.job.number, state=Piece.State.OUT
    )
    for piece in rows.order_by("pk")[:count]:
        piece.state = Piece.State.SCRAPPED if scrapped else Piece.State.HERE
        piece.stock, piece.ref = (None, piece.ref) if scrapped else (item, "")
        piece.save(update_fields=["state", "stock", "ref"])
