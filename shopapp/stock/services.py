"""Stock: reserve pieces and give them back, never over what lies on the shelf."""

from django.db import transaction
from django.db.models import F

from shopapp.catalog.models import Part
from shopapp.errors import MoveRefused
from shopapp.stock.models import StockItem

TRIES = 5


@transaction.atomic
def reserve(*, part: Part, count: int) -> list[tuple[StockItem, int]]:
    """Speak for up to `count` pieces of a part, shelf by shelf: (shelf, pieces) for each taken.

    Fewer than asked for where stock is short; that is no error. Each shelf is
    taken by one conditional update, in the order of the rows, so that two who
    reserve together never get the same piece nor wait for each other in a ring.
    """
    taken: list[tuple[StockItem, int]] = []
    for item in StockItem.objects.filter(part=part).order_by("pk"):
        got = _take(item.pk, count)
        if got:
            taken.append((item, got))
            count -= got
        if not count:
            break
    return taken


def _take(pk: int, count: int) -> int:
    for _ in range(TRIES):
        item = StockItem.objects.get(pk=pk)
        pieces = min(item.free, count)
        if pieces <= 0:
            return 0
        rows = StockItem.objects.filter(pk=pk, on_hand__gte=F("reserved") + pieces)
        if rows.update(reserved=F("reserved") + pieces):
            return pieces
    return 0


@transaction.atomic
def give_back(*, stock: StockItem, count: int) -> None:
    """Free pieces that were spoken for. MoveRefused where so many are not reserved."""
    rows = StockItem.objects.filter(pk=stock.pk, reserved__gte=count)
    if count and not rows.update(reserved=F("reserved") - count):
        raise MoveRefused(
            f"Fewer than {count} pieces are reserved at {stock}.",
            todo="Count the shelf and correct the stock.",
        )


@transaction.atomic
def hand_out(*, stock: StockItem, count: int) -> None:
    """Take reserved pieces off the shelf for good. MoveRefused where so many are not there."""
    rows = StockItem.objects.filter(pk=stock.pk, reserved__gte=count, on_hand__gte=count)
    leave = {"reserved": F("reserved") - count, "on_hand": F("on_hand") - count}
    if count and not rows.update(**leave):
        raise MoveRefused(
            f"Fewer than {count} reserved pieces lie at {stock}.",
            todo="Count the shelf and correct the stock.",
        )
