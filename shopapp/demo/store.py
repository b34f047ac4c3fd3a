"""The demo's store: prices, stand-ins, a kit, boxes, orders in every state, totes, a count."""

from datetime import date, timedelta
from random import Random

from django.db import transaction

from shopapp.accounts.models import Shop, User
from shopapp.catalog.models import Part
from shopapp.catalog.services.search import words_of_part
from shopapp.errors import MoveRefused
from shopapp.jobs.models import Job, PickLine, PickList
from shopapp.jobs.services.papers import request_document
from shopapp.jobs.services.picking import count_picked
from shopapp.jobs.services.shortages import Want, order_wanted, shortages_of
from shopapp.jobs.services.staging import stage_list
from shopapp.jobs.totes import ALWAYS_IN_THE_TOTE
from shopapp.stock.models import (
    Piece,
    Place,
    PurchaseLine,
    PurchaseOrder,
    StockItem,
    SupplierPrice,
)
from shopapp.stock.ordering import confirm_order, note_promise, send_order
from shopapp.stock.price_files import keep_file
from shopapp.stock.receiving import Box, Delivery, receive
from shopapp.stock.services import book, item_at
from shopapp.stock.stocktaking import book_sheet, open_sheet, write_counts
from shopapp.stock.supply import put_in_kit, say_substitute

STAND_INS = [
    ("LD-31", "LD-32", "Same plug, thicker wire: fits wherever the lighter one does."),
    ("LD-12", "LD-51", "Same pins; the flat plug wants a flat hole."),
]
KIT = ("KIT-NET", "Network starter kit", [("cable", 2), ("small", 4)])


def make_store(*, shop: Shop, people: dict[str, User], today: date, random: Random) -> None:
    """All that the store's pages show."""
    by = people["pip"]
    make_prices(shop=shop, today=today, random=random)
    make_stand_ins(shop=shop)
    make_boxes(shop=shop, random=random)
    make_orders(shop=shop, by=by, today=today)
    make_totes(shop=shop, by=by)
    make_counts(shop=shop, by=by)


def make_prices(*, shop: Shop, today: date, random: Random) -> None:
    """What each part's own supplier asks for it."""
    parts = Part.objects.of(shop).filter(supplier__isnull=False, cost_cents__isnull=False)
    SupplierPrice.objects.bulk_create(
        SupplierPrice(
            shop=shop,
            supplier_id=part.supplier_id,
            part=part,
            number=f"{random.randrange(10**5):05d}-{part.pk % 97:02d}",
            price_cents=part.cost_cents,
            seen_on=today - timedelta(days=random.randrange(200)),
        )
        for part in parts.order_by("pk")
    )


def make_stand_ins(*, shop: Shop) -> None:
    """Substitutes by the shop's word, and a kit."""
    parts = {part.number: part for part in Part.objects.of(shop)}
    for number, other, note in STAND_INS:
        if number in parts and other in parts:
            say_substitute(part=parts[number], other=parts[other], note=note)
    number, name, held = KIT
    kit = Part(shop=shop, number=number, name=name, kind=Part.PartKind.SUPPLY, price_cents=9900)
    kit.search = words_of_part(kit)
    kit.save()
    for kind, count in held:
        part = Part.objects.of(shop).filter(kind=kind).order_by("number").first()
        put_in_kit(kit=kit, part=part, count=count)


def make_boxes(*, shop: Shop, random: Random) -> None:
    """A serial for every box of equipment on a shelf, its firmware where the box shows it."""
    items = StockItem.objects.filter(shop=shop, part__kind="equipment", on_hand__gt=0)
    items = items.select_related("part__model__ships_with")
    Piece.objects.bulk_create(
        Piece(
            shop=shop,
            part=item.part,
            stock=item,
            serial=f"SB{random.randrange(10**7):07d}",
            firmware=_ships_with(item.part) if random.random() < 0.7 else "",
        )
        for item in items.order_by("pk")
        for _ in range(item.in_bin)
    )


def _ships_with(part: Part) -> str:
    model = getattr(part, "model", None)
    return str(model.ships_with.name) if model and model.ships_with else ""


def make_orders(*, shop: Shop, by: User, today: date) -> None:
    """An order of what is short with each supplier, one further along than the other."""
    groups = [group for group in shortages_of(shop) if group.supplier]
    for place, group in enumerate(groups):
        # The last part of every other supplier waits for somebody to order it.
        rows = group.rows[:-1] if place % 2 == 0 and len(group.rows) > 1 else group.rows
        wants = [Want(row.part, group.supplier, max(row.to_order, 1) + place % 2) for row in rows]
        (order,) = order_wanted(shop=shop, wants=wants, by=by)
        if place % 4:
            _drive_order(order, place % 4, by, today)


def _drive_order(order: PurchaseOrder, step: int, by: User, today: date) -> None:
    send_order(order=order, by=by, note="By e-mail.")
    request_document(kind="purchase", by=by, order=order)
    if step == 1:
        return
    promised = today + timedelta(days=5)
    confirm_order(order=order, promised_on=promised, said_by="Ines, sales desk", by=by)
    lines = list(order.lines.select_related("part"))
    later = promised + timedelta(days=9)
    note_promise(line=lines[0], promised_on=later, said_by="Ines", note="Ship is late.", by=by)
    if step == 3:
        _receive_some(lines[-1], by)


def _receive_some(line: PurchaseLine, by: User) -> None:
    boxes = [Box(f"SR{line.pk:05d}{one}") for one in range(line.quantity)]
    serials = boxes if line.part.kind == Part.PartKind.EQUIPMENT else []
    delivery = Delivery(
        good=line.quantity, damaged=1, boxes=serials, delivery_note="DN-7781", note="One crushed."
    )
    receive(line=line, delivery=delivery, by=by)


def make_totes(*, shop: Shop, by: User) -> None:
    """Lists of the next jobs picked, the first of them staged."""
    rows = PickList.objects.filter(job__shop=shop, state="open", job__state="scheduled")
    for place, pick_list in enumerate(rows.select_related("job").order_by("job__planned_on")[:4]):
        lines = pick_list.lines.all()
        count_picked(job=pick_list.job, counts={one.pk: one.reserved for one in lines}, by=by)
        if place % 2 == 0:
            _stage(pick_list.job, by)


def _stage(job: Job, by: User) -> None:
    short = PickLine.objects.filter(pick_list__job=job, spare=False, state="short").exists()
    try:
        stage_list(
            job=job,
            totes=2,
            extras=list(ALWAYS_IN_THE_TOTE)[:-1],
            extras_why="No unit of this boat takes a card.",
            split_reason="The rest follows on a second visit." if short else "",
            by=by,
        )
    except MoveRefused:
        return


@transaction.atomic
def make_counts(*, shop: Shop, by: User) -> None:
    """A van, a place counted with a difference, one being counted, a price file."""
    Place.objects.get_or_create(shop=shop, name="Van 1", defaults={"kind": "van"})
    fuses = Part.objects.of(shop).filter(kind="fuse").order_by("number")[:4]
    for part in fuses:
        book(item_at(part=part, place="Van 1"), "receive", on_hand=5, reason="Van filled", by=by)
    sheet = open_sheet(shop=shop, place="Van 1", by=by)
    rows = list(sheet.rows.all())
    counts = {row.pk: (row.expected, "") for row in rows}
    counts[rows[0].pk] = (rows[0].expected - 1, "Used without a job")
    write_counts(sheet=sheet, counts=counts)
    book_sheet(sheet=sheet, by=by)
    item = StockItem.objects.filter(shop=shop, on_hand__gt=0).exclude(place="Van 1").first()
    if item is not None:
        open_sheet(shop=shop, place=item.place, by=by)
    _price_file(shop, by)


def _price_file(shop: Shop, by: User) -> None:
    supplier = shop.suppliers.order_by("name").first()
    parts = list(Part.objects.of(shop).filter(supplier=supplier).order_by("number")[:6])
    rows = [f"{one.number},{(one.cost_cents or 100) * 1.04 / 100:.2f},7" for one in parts]
    text = "\n".join(["Part number,Price,Days", *rows, "NOT-OURS,12.00,3", "", "LD-11,-1,3"])
    keep_file(supplier=supplier, name="prices of spring.csv", body=text.encode(), by=by)
