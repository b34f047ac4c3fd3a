"""Counts on the shelf, corrected with a reason that stays among the movements."""

from django.db import transaction

from shopapp.accounts.models import User
from shopapp.catalog.models import Part
from shopapp.errors import FactRefused
from shopapp.stock.models import Movement, StockItem
from shopapp.stock.services import book, item_at

MOST_PIECES = 100_000


@transaction.atomic
def correct_count(
    *, part: Part, place: str, on_hand: int, reason: str, by: User | None = None
) -> StockItem:
    """Set what was counted at a place, totes included; never below what is reserved there.

    A place that is new for the part is opened. Raises `FactRefused` beside `on_hand`.
    """
    item = item_at(part=part, place=place)
    if on_hand < item.reserved:
        raise FactRefused(
            f"{item.reserved} are reserved at {item.place} for jobs; "
            f"{on_hand} cannot be all that lies there.",
            field="on_hand",
            todo="Give back the reservation on its job first, or count again.",
        )
    difference = on_hand - item.on_hand
    book(item, Movement.MoveKind.ADJUST, on_hand=difference, reason=reason[:100], by=by)
    item.refresh_from_db()
    return item
