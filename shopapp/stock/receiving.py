"""Receive against a purchase order: count, damage, serials, and what came as another part."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import IntegrityError, transaction
from django.db.models import F

from shopapp.accounts.models import User
from shopapp.catalog.models import Part
from shopapp.errors import FactRefused, MoveRefused
from shopapp.stock.models import (
    Movement,
    Piece,
    Place,
    PurchaseLine,
    PurchaseOrder,
    Receipt,
    StockItem,
)
from shopapp.stock.order_states import COMING
from shopapp.stock.ordering import move_order
from shopapp.stock.services import book, item_at
from shopapp.stock.signals import goods_received

State = PurchaseOrder.State
GOODS_IN = "Goods in"
ASIDE = "Damaged, set aside"
MOST_AT_ONCE = 100_000


@dataclass(frozen=True)
class Box:
    """What a box said: serial, firmware and region."""

    serial: str
    firmware: str = ""
    region: str = ""


@dataclass(frozen=True)
class Delivery:
    """What came of one line: good pieces, damaged ones, the boxes read, what the label said.

    `came_as` names the part that it really is where the label differs from what was ordered.
    """

    good: int = 0
    damaged: int = 0
    boxes: Sequence[Box] = ()
    came_as: Part | None = None
    place: str = GOODS_IN
    delivery_note: str = ""
    note: str = ""
    key: str = ""


@transaction.atomic
def receive(*, line: PurchaseLine, delivery: Delivery, by: User) -> Receipt:
    """Book a delivery in: onto the shelf, damaged pieces aside, another part as what it is.

    More than was ordered is kept as a fact, and so is less. Each form counts once (`key`).
    Waiting jobs take theirs in the same stroke. FactRefused beside `good`, `damaged`, `boxes`,
    `came_as` or `note`; MoveRefused where the order is not on its way.
    """
    order = PurchaseOrder.objects.select_for_update().get(pk=line.order_id)
    line = (
        PurchaseLine.objects.select_for_update(of=("self",)).select_related("part").get(pk=line.pk)
    )
    _check_coming(order)
    part = delivery.came_as or line.part
    _check_delivery(line, part, delivery)
    receipt = _write(order, line, part, delivery, by)
    _count(line, delivery, wrong=part != line.part)
    if delivery.good:
        goods_received.send(
            sender=Receipt, line=line, part=part, stock=receipt.stock, count=delivery.good, by=by
        )
    _move_on(order, by)
    return receipt


def _check_coming(order: PurchaseOrder) -> None:
    late = order.state == State.RECEIVED
    if order.state not in COMING and not late:
        raise MoveRefused(
            f"{order} is “{order.get_state_display()}”; nothing is received on it.",
            todo="Receive against an order that was sent.",
        )


def _check_delivery(line: PurchaseLine, part: Part, delivery: Delivery) -> None:
    for name in ("good", "damaged"):
        if not 0 <= getattr(delivery, name) <= MOST_AT_ONCE:
            raise FactRefused(f"From 0 to {MOST_AT_ONCE:,} pieces: count again.", field=name)
    if not delivery.good + delivery.damaged:
        raise FactRefused("Say how many came.", field="good")
    if part.shop_id != line.order.shop_id:
        raise FactRefused("This part is not in the catalogue.", field="came_as")
    if delivery.damaged and not delivery.note.strip():
        raise FactRefused("Say what is damaged.", field="note")
    _check_boxes(part, delivery)


def _check_boxes(part: Part, delivery: Delivery) -> None:
    serials = [" ".join(box.serial.split()) for box in delivery.boxes]
    asked = part.kind == Part.PartKind.EQUIPMENT and not delivery.note.strip()
    if asked and len(serials) != delivery.good:
        raise FactRefused(
            f"{delivery.good} boxes came, {len(serials)} serials are read.",
            field="boxes",
            todo="Read every box, one a line; or say in the note why one has no serial.",
        )
    _check_serials(part, serials, delivery)


def _check_serials(part: Part, serials: list[str], delivery: Delivery) -> None:
    if len(serials) > delivery.good:
        raise FactRefused(f"{len(serials)} serials for {delivery.good} boxes.", field="boxes")
    seen: set[str] = set()
    for number, serial in enumerate(serials, 1):
        if not serial or len(serial) > 60:
            raise FactRefused(f"Box {number}: a serial has 1 to 60 characters.", field="boxes")
        if serial.casefold() in seen:
            raise FactRefused(f"Serial {serial} was read twice.", field="boxes")
        seen.add(serial.casefold())
    known = Piece.objects.filter(part=part, serial__in=serials).first()
    if known is not None:
        raise FactRefused(f"Serial {known.serial} was received before.", field="boxes")


def _write(
    order: PurchaseOrder, line: PurchaseLine, part: Part, delivery: Delivery, by: User
) -> Receipt:
    kind, words = Movement.MoveKind.RECEIVE, {"ref": order.number, "by": by}
    item = item_at(part=part, place=delivery.place or GOODS_IN) if delivery.good else None
    if item is not None:
        book(item, kind, on_hand=delivery.good, reason=delivery.delivery_note[:100], **words)
    if delivery.damaged:
        _set_aside(part, delivery, kind, words)
    receipt = _keep(line, part, delivery, item, by)
    Piece.objects.bulk_create(
        Piece(
            shop_id=order.shop_id,
            part=part,
            serial=" ".join(box.serial.split()),
            firmware=box.firmware.strip()[:40],
            region=box.region.strip()[:20],
            stock=item,
            receipt=receipt,
        )
        for box in delivery.boxes
    )
    return receipt


def _keep(
    line: PurchaseLine, part: Part, delivery: Delivery, item: StockItem | None, by: User
) -> Receipt:
    try:
        with transaction.atomic():
            return Receipt.objects.create(
                line=line,
                stock=item,
                good=delivery.good,
                damaged=delivery.damaged,
                came_as=part if part != line.part else None,
                delivery_note=delivery.delivery_note.strip()[:40],
                note=delivery.note.strip()[:200],
                key=delivery.key[:40],
                by=by,
            )
    except IntegrityError as error:
        raise MoveRefused(
            "This delivery was booked already.", todo="Load the page again and look at it."
        ) from error


def _set_aside(part: Part, delivery: Delivery, kind: str, words: dict[str, object]) -> None:
    """Damaged pieces are ours to send back: on hand, but promised to nobody."""
    Place.objects.get_or_create(shop_id=part.shop_id, name=ASIDE, defaults={"kind": "aside"})
    item = item_at(part=part, place=ASIDE)
    book(item, kind, on_hand=delivery.damaged, reason=delivery.note[:100], **words)


def _count(line: PurchaseLine, delivery: Delivery, *, wrong: bool) -> None:
    facts = {"damaged": F("damaged") + delivery.damaged}
    name = "wrong" if wrong else "received"
    facts[name] = F(name) + delivery.good
    PurchaseLine.objects.filter(pk=line.pk).update(**facts)
    line.refresh_from_db()


def _move_on(order: PurchaseOrder, by: User) -> None:
    whole = all(not line.outstanding for line in order.lines.all())
    after = State.RECEIVED if whole else State.PART_RECEIVED
    if order.state not in {after, State.RECEIVED}:
        move_order(order=order, after=after, by=by)
