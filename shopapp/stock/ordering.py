"""Purchase orders: drafted, sent, confirmed with a date, closed or cancelled."""

from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import F, Max
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.catalog.models import Part, Supplier
from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.stock.models import OrderMove, Promise, PurchaseLine, PurchaseOrder, SupplierPrice
from shopapp.stock.models.orders import MOST_ORDERED
from shopapp.stock.order_states import ENDED, ORDER_MOVES
from shopapp.stock.signals import order_ended

State = PurchaseOrder.State
FIRST = 1001
SERIES = "PO-"


@transaction.atomic
def draft_for(*, supplier: Supplier, by: User | None) -> PurchaseOrder:
    """The supplier's draft, begun where there is none: what is wanted of one goes on one order."""
    Shop.objects.select_for_update().get(pk=supplier.shop_id)  # one number, one draft at a time
    found = PurchaseOrder.objects.filter(supplier=supplier, state=State.DRAFT).first()
    if found is not None:
        return found
    order = PurchaseOrder.objects.create(
        shop_id=supplier.shop_id,
        supplier=supplier,
        number=_next_number(supplier.shop_id),
        made_by=by,
    )
    OrderMove.objects.create(order=order, after=State.DRAFT, by=by)
    return order


def _next_number(shop_id: int) -> str:
    rows = PurchaseOrder.objects.filter(shop=shop_id)
    newest = rows.order_by("-pk").values_list("number", flat=True).first()
    return f"{SERIES}{int(newest.removeprefix(SERIES)) + 1}" if newest else f"{SERIES}{FIRST}"


@transaction.atomic
def add_to_order(
    *, order: PurchaseOrder, part: Part, quantity: int, unit_cents: int | None = None
) -> PurchaseLine:
    """More of a part on a draft; its line grows where it is there already.

    Without a price the supplier's own is taken, else the part's cost. FactRefused beside
    `quantity` or `part`; MoveRefused where the order has been sent.
    """
    _check_draft(order)
    _check_quantity(quantity)
    if part.shop_id != order.shop_id:
        raise FactRefused("This part is not in the catalogue.", field="part")
    if part.kit_parts.exists():
        raise FactRefused(f"{part.number} is a kit: order its parts.", field="part")
    line = order.lines.select_for_update().filter(part=part).first()
    if line is None:
        return _new_line(order, part, quantity, unit_cents)
    _check_quantity(line.quantity + quantity)
    line.quantity += quantity
    line.save(update_fields=["quantity"])
    return line


def _new_line(
    order: PurchaseOrder, part: Part, quantity: int, unit_cents: int | None
) -> PurchaseLine:
    price = SupplierPrice.objects.filter(supplier=order.supplier_id, part=part).first()
    if unit_cents is None:
        unit_cents = price.price_cents if price else part.cost_cents
    last = order.lines.aggregate(last=Max("position"))["last"] or 0
    return PurchaseLine.objects.create(
        order=order,
        position=last + 1,
        part=part,
        number=price.number if price else "",
        quantity=quantity,
        unit_cents=unit_cents,
    )


@transaction.atomic
def change_line(*, line: PurchaseLine, quantity: int, unit_cents: int | None) -> PurchaseLine:
    """Another quantity or price on a draft; never fewer than jobs have spoken for."""
    line = (
        PurchaseLine.objects.select_for_update(of=("self",)).select_related("order").get(pk=line.pk)
    )
    _check_draft(line.order)
    _check_quantity(quantity)
    if quantity < line.spoken:
        raise FactRefused(f"{line.spoken} of them are for jobs.", field="quantity")
    line.quantity, line.unit_cents = quantity, unit_cents
    line.save(update_fields=["quantity", "unit_cents"])
    return line


@transaction.atomic
def drop_line(*, line: PurchaseLine) -> None:
    """Take a part off a draft; MoveRefused while a job waits for it."""
    line = (
        PurchaseLine.objects.select_for_update(of=("self",)).select_related("order").get(pk=line.pk)
    )
    _check_draft(line.order)
    if line.spoken:
        raise MoveRefused(
            f"{line.spoken} of {line.part.number} are for jobs.",
            todo="Cancel the order, or give the jobs a substitute first.",
        )
    line.delete()


def _check_draft(order: PurchaseOrder) -> None:
    if order.state != State.DRAFT:
        raise MoveRefused(
            f"{order} is “{order.get_state_display()}”; only a draft is changed.",
            todo="Put it on a new order.",
        )


def _check_quantity(quantity: int) -> None:
    if not 1 <= quantity <= MOST_ORDERED:
        raise FactRefused(f"Order from 1 to {MOST_ORDERED:,} pieces.", field="quantity")


@transaction.atomic
def move_order(
    *, order: PurchaseOrder, after: str, by: User | None, note: str = "", **facts: Any
) -> OrderMove:
    """Bring an order from the state and version seen into the next one, on record.

    MoveRefused where no such move exists; StaleRecord where somebody else was first.
    """
    if after not in ORDER_MOVES[State(order.state)]:
        words = dict(State.choices)
        raise MoveRefused(
            f"{order} is “{words[order.state]}”; it cannot become “{words.get(after, after)}”.",
            todo="Load the page again to see what can be done now.",
        )
    rows = PurchaseOrder.objects.filter(pk=order.pk, state=order.state, version=order.version)
    if not rows.update(state=after, version=F("version") + 1, **facts):
        raise StaleRecord(
            f"Somebody else changed {order} while you looked at it.", todo="Load the page again."
        )
    before, order.state, order.version = order.state, after, order.version + 1
    for name, value in facts.items():
        setattr(order, name, value)
    return OrderMove.objects.create(
        order=order, before=before, after=after, by=by, note=note[:300], at=timezone.now()
    )


@transaction.atomic
def send_order(*, order: PurchaseOrder, by: User, note: str = "") -> OrderMove:
    """The order went to the supplier; MoveRefused while nothing stands on it."""
    if not order.lines.exists():
        raise MoveRefused(f"Nothing stands on {order}.", todo="Add a part first.")
    return move_order(order=order, after=State.SENT, by=by, note=note, sent_at=timezone.now())


@transaction.atomic
def confirm_order(
    *, order: PurchaseOrder, promised_on: date, said_by: str, supplier_ref: str = "", by: User
) -> OrderMove:
    """The supplier confirmed it, with the day on which all of it is promised."""
    _check_promise(promised_on, said_by)
    move = move_order(
        order=order,
        after=State.CONFIRMED,
        by=by,
        note=f"{said_by.strip()}: {promised_on.day} {promised_on:%b %Y}",
        supplier_ref=supplier_ref.strip()[:40],
    )
    for line in order.lines.all():
        note_promise(line=line, promised_on=promised_on, said_by=said_by, by=by)
    return move


@transaction.atomic
def note_promise(
    *, line: PurchaseLine, promised_on: date, said_by: str, note: str = "", by: User
) -> Promise:
    """What the supplier promises now for one line; what was promised before stays readable.

    FactRefused beside `promised_on` or `said_by`; MoveRefused on a draft or an ended order.
    """
    _check_promise(promised_on, said_by)
    order = line.order
    if order.state == State.DRAFT or order.state in ENDED:
        raise MoveRefused(f"{order} is “{order.get_state_display()}”; nothing is promised on it.")
    facts = {"said_by": said_by.strip()[:80], "note": note.strip()[:120], "noted_by": by}
    promise = Promise.objects.create(line=line, promised_on=promised_on, **facts)
    PurchaseLine.objects.filter(pk=line.pk).update(promised_on=promised_on)
    line.promised_on = promised_on
    return promise


def _check_promise(promised_on: date, said_by: str) -> None:
    if not said_by.strip():
        raise FactRefused("Say who promised it.", field="said_by")
    if not 2000 <= promised_on.year <= 2199:
        raise FactRefused("That day cannot be right.", field="promised_on")


@transaction.atomic
def end_order(*, order: PurchaseOrder, after: str, by: User, note: str = "") -> OrderMove:
    """Close an order, or cancel it: what has not come will not come, and is short again.

    FactRefused (`note`) without a reason where pieces are missing.
    """
    missing = sum(line.outstanding for line in order.lines.all())
    if missing and not note.strip():
        raise FactRefused(f"{missing} pieces have not come: say why they will not.", field="note")
    move = move_order(order=order, after=after, by=by, note=note.strip())
    order_ended.send(sender=PurchaseOrder, order=order, by=by)
    return move


@transaction.atomic
def speak_for(*, line: PurchaseLine, count: int) -> bool:
    """Speak for pieces still to come; False where fewer are left than that."""
    rows = PurchaseLine.objects.filter(
        pk=line.pk, quantity__gte=F("spoken") + F("received") + count
    ).exclude(order__state__in=ENDED)
    return bool(rows.update(spoken=F("spoken") + count))
