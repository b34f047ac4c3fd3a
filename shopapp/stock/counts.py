"""Counts on the shelf, corrected with a reason that stays in the history."""

from django.db import transaction

from shopapp.catalog.models import Part
from shopapp.errors import FactRefused
from shopapp.stock.models import StockItem

MOST_PIECES = 100_000


@transaction.atomic
def correct_count(*, part: Part, place: str, on_hand: int, reason: str) -> StockItem:
    """Set what was counted at a place; never below what is reserved there.

    A place that is new for the part is opened. Raises `FactRefused` beside `on_hand`.
    """
    place = " ".join(place.split())
    rows = StockItem.objects.select_for_update().filter(part=part, place__iexact=place)
    item = rows.first() or StockItem(shop=part.shop, part=part, place=place)
    if on_hand < item.reserved:
        raise FactRefused(
            f"{item.reserved} are reserved at {item.place} for jobs; "
            f"{on_hand} cannot be all that lies there.",
            field="on_hand",
            todo="Give back the reservation on its job first, or count again.",
        )
    item.on_hand = on_hand
    item._change_reason = reason
    item.save()
    return item
