"""What a part's page keeps beside its price: other sellers, stand-ins, what a kit holds, moves."""

from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.catalog.models import Part, Supplier
from shopapp.errors import FactRefused, MoveRefused
from shopapp.stock.models import KitPart, Movement, StockItem, Substitute, SupplierPrice
from shopapp.stock.models.supply import MOST_CENTS
from shopapp.stock.services import book, item_at


@transaction.atomic
def set_price(
    *, part: Part, supplier: Supplier, price_cents: int, number: str = "", lead_days: int | None
) -> SupplierPrice:
    """What a supplier asks for a part now; FactRefused (`price_cents`) where it cannot be right."""
    if not 0 <= price_cents <= MOST_CENTS:
        raise FactRefused("A price is from 0 to 20,000,000.", field="price_cents")
    facts = {
        "shop_id": part.shop_id,
        "number": number.strip()[:60],
        "price_cents": price_cents,
        "lead_days": lead_days,
        "seen_on": timezone.localdate(),
    }
    row, _ = SupplierPrice.objects.update_or_create(part=part, supplier=supplier, defaults=facts)
    return row


@transaction.atomic
def say_substitute(*, part: Part, other: Part, note: str) -> Substitute:
    """The shop's word that `other` does what `part` does.

    FactRefused beside `other`: equipment is a question for the planner, and a shorter cable or
    another fuse rating is no substitute.
    """
    _check_like(part, other)
    if not note.strip():
        raise FactRefused("Say why it will do.", field="note")
    row, _ = Substitute.objects.update_or_create(
        part=part,
        other=other,
        defaults={"shop_id": part.shop_id, "note": note.strip()[:120]},
    )
    return row


def _check_like(part: Part, other: Part) -> None:
    if part.pk == other.pk:
        raise FactRefused("A part cannot stand in for itself.", field="other")
    if Part.PartKind.EQUIPMENT in {part.kind, other.kind}:
        raise FactRefused(
            "Another model is a question of compatibility.",
            field="other",
            todo="The planner proves it for each job, on the job's own case.",
        )
    if part.kind != other.kind:
        raise FactRefused(f"{other.number} is another kind of part.", field="other")
    if part.cable_ft and (other.cable_ft or 0) < part.cable_ft:
        raise FactRefused("A shorter cable is no substitute.", field="other")
    if part.fuse_ma != other.fuse_ma:
        raise FactRefused("A fuse of another rating is no substitute.", field="other")


@transaction.atomic
def put_in_kit(*, kit: Part, part: Part, count: int) -> KitPart:
    """So many pieces of a part belong to a kit; FactRefused beside `part` or `count`."""
    if kit.pk == part.pk:
        raise FactRefused("A kit cannot hold itself.", field="part")
    if part.kit_parts.exists() or kit.in_kits.exists():
        raise FactRefused("A kit holds parts, not kits.", field="part")
    if kit.stock.filter(on_hand__gt=0).exists():
        raise FactRefused(
            f"{kit.number} lies on a shelf itself.",
            field="part",
            todo="Count it to none first: a kit lies nowhere, its parts do.",
        )
    if not 1 <= count <= 1000:
        raise FactRefused("From 1 to 1,000 pieces.", field="count")
    row, _ = KitPart.objects.update_or_create(kit=kit, part=part, defaults={"count": count})
    return row


@transaction.atomic
def move_pieces(*, part: Part, place: str, to: str, count: int, reason: str = "", by: User) -> None:
    """Carry free pieces from one place to another, as two movements.

    FactRefused beside `count`, `place` or `to` where so many do not lie free there.
    """
    start, end = " ".join(place.split()), " ".join(to.split())
    if not end or start.casefold() == end.casefold():
        raise FactRefused("Say to which other place.", field="to")
    item = part.stock.filter(place__iexact=start).first()
    if item is None:
        raise FactRefused(f"{part.number} does not lie at {start}.", field="place")
    if not 1 <= count <= item.free:
        raise FactRefused(f"{item.free} lie free at {item.place}.", field="count")
    target = item_at(part=part, place=end)
    words = {"by": by, "reason": f"{item.place} to {target.place}. {reason}".strip()[:100]}
    try:
        book(item, Movement.MoveKind.MOVE, on_hand=-count, **words)
    except MoveRefused as error:
        raise FactRefused("Somebody reserved them meanwhile.", field="count") from error
    book(target, Movement.MoveKind.MOVE, on_hand=count, **words)
    _carry_boxes(item, target)


def _carry_boxes(item: StockItem, target: StockItem) -> None:
    """Boxes follow where all that is left cannot hold them any more, the oldest first."""
    item.refresh_from_db()
    here = item.pieces.filter(state="here").order_by("pk")
    for piece in list(here)[: max(here.count() - item.in_bin, 0)]:
        piece.stock = target
        piece.save(update_fields=["stock"])
