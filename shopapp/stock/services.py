"""Stock: every change of a count is one conditional update and one movement, in one place.

Nobody reserves more than lies there, however many press at once: the update carries the
condition, and the database's own constraints stand behind it.
"""

from typing import Any

from django.db import transaction
from django.db.models import F

from shopapp.accounts.models import User
from shopapp.catalog.models import Part
from shopapp.errors import MoveRefused
from shopapp.stock.models import Movement, StockItem
from shopapp.stock.models.items import MOST_ON_HAND

Kind = Movement.MoveKind
TRIES = 5


def try_book(
    item: StockItem,
    kind: str,
    *,
    on_hand: int = 0,
    reserved: int = 0,
    picked: int = 0,
    **words: Any,
) -> bool:
    """Change an item's counts by these differences, with the movement that says so.

    False, and nothing written, where a count would fall below zero, more be reserved than lies
    there, or more picked than is reserved. `words` are `ref`, `reason` and `by`.
    """
    if not (on_hand or reserved or picked):
        return True
    rows = StockItem.objects.filter(
        pk=item.pk,
        picked__gte=-picked,
        reserved__gte=F("picked") + picked - reserved,
        on_hand__gte=F("reserved") + reserved - on_hand,
        on_hand__lte=MOST_ON_HAND - max(on_hand, 0),
    )
    changed = rows.update(
        on_hand=F("on_hand") + on_hand,
        reserved=F("reserved") + reserved,
        picked=F("picked") + picked,
    )
    if not changed:
        return False
    Movement.objects.create(
        shop_id=item.shop_id,
        stock=item,
        kind=kind,
        on_hand=on_hand,
        reserved=reserved,
        picked=picked,
        **words,
    )
    return True


@transaction.atomic
def book(item: StockItem, kind: str, **facts: Any) -> None:
    """As `try_book`, but MoveRefused where the counts do not allow it."""
    if not try_book(item, kind, **facts):
        raise MoveRefused(
            f"The counts at {item} do not allow that.",
            todo="Load the page again; if it stays so, count the shelf.",
        )


@transaction.atomic
def reserve(
    *, part: Part, count: int, ref: str = "", by: User | None = None
) -> list[tuple[StockItem, int]]:
    """Speak for up to `count` pieces of a part, shelf by shelf: (shelf, pieces) for each taken.

    Fewer than asked for where stock is short; that is no error. What is set aside is never
    taken. Each shelf is taken by one conditional update, in the order of the rows, so that two
    who reserve together never get the same piece nor wait for each other in a ring.
    """
    taken: list[tuple[StockItem, int]] = []
    for item in StockItem.objects.filter(part=part).to_give_out().order_by("pk"):
        got = _take(item.pk, count, ref=ref, by=by)
        if got:
            taken.append((item, got))
            count -= got
        if not count:
            break
    return taken


def _take(pk: int, count: int, **words: Any) -> int:
    for _ in range(TRIES):
        item = StockItem.objects.get(pk=pk)
        pieces = min(item.free, count)
        if pieces <= 0:
            return 0
        if try_book(item, Kind.RESERVE, reserved=pieces, **words):
            return pieces
    return 0


@transaction.atomic
def give_back(*, stock: StockItem, count: int, picked: int = 0, **words: Any) -> None:
    """Free pieces that were spoken for, `picked` of them out of a tote.

    MoveRefused where so many are not reserved.
    """
    if not try_book(stock, Kind.RELEASE, reserved=-count, picked=-picked, **words):
        raise MoveRefused(
            f"Fewer than {count} pieces are reserved at {stock}.",
            todo="Count the shelf and correct the stock.",
        )


@transaction.atomic
def hand_out(*, stock: StockItem, count: int, picked: int = 0, **words: Any) -> None:
    """Take reserved pieces off the shelf for good, `picked` of them out of a tote.

    MoveRefused where so many are not there.
    """
    facts = {"on_hand": -count, "reserved": -count, "picked": -picked}
    if not try_book(stock, Kind.ISSUE, **facts, **words):
        raise MoveRefused(
            f"Fewer than {count} reserved pieces lie at {stock}.",
            todo="Count the shelf and correct the stock.",
        )


@transaction.atomic
def item_at(*, part: Part, place: str) -> StockItem:
    """The part's row at a place, opened where it is new there.

    Inside a transaction of the caller's the row stays locked until its end.
    """
    place = " ".join(place.split())
    rows = StockItem.objects.select_for_update().filter(part=part, place__iexact=place)
    found = rows.first()
    if found is None:
        facts = {"part": part, "place": place}
        found, _ = StockItem.objects.get_or_create(**facts, defaults={"shop_id": part.shop_id})
    return found
