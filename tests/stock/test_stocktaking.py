"""Counting place by place: differences explained, moves meanwhile kept, stock always the sum."""

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from shopapp.errors import FactRefused, MoveRefused
from shopapp.stock import stocktaking, supply
from shopapp.stock.models import (
    CountSheet,
    Movement,
    Place,
    PurchaseLine,
    PurchaseOrder,
    StockItem,
    SupplierPrice,
)
from shopapp.stock.queries import unexplained
from shopapp.stock.services import book, hand_out, reserve
from tests.factories.catalog import (
    CablePartFactory,
    EquipmentPartFactory,
    FuseFactory,
    PartFactory,
    StockItemFactory,
    SupplierFactory,
)


@pytest.fixture
def item(shop):
    return StockItemFactory(part=PartFactory(shop=shop, number="LD-1"), place="A1", on_hand=5)


@pytest.fixture
def sheet(shop, item, parts_person):
    return stocktaking.open_sheet(shop=shop, place="a1", by=parts_person)


def count(sheet, pieces, reason=""):
    row = sheet.rows.get()
    stocktaking.write_counts(sheet=sheet, counts={row.pk: (pieces, reason)})
    return row


def test_a_difference_is_booked_with_its_reason(sheet, item, parts_person, shop):
    count(sheet, 3, "Two broken")
    assert stocktaking.book_sheet(sheet=sheet, by=parts_person) == 1
    item.refresh_from_db()
    assert item.on_hand == 3
    move = Movement.objects.first()
    assert (move.kind, move.on_hand, move.reason, move.by) == (
        "adjust",
        -2,
        "Two broken",
        parts_person,
    )
    assert not unexplained(shop)


@pytest.mark.parametrize(
    ("pieces", "reason", "words"),
    [(None, "", "not counted"), (3, "", "2 fewer"), (7, "", "2 more")],
)
def test_what_is_not_counted_or_explained_is_not_booked(
    sheet, item, parts_person, pieces, reason, words
):
    count(sheet, pieces, reason)
    with pytest.raises(FactRefused, match=words):
        stocktaking.book_sheet(sheet=sheet, by=parts_person)
    item.refresh_from_db()
    assert item.on_hand == 5


def test_what_moved_while_it_was_counted_is_not_lost(sheet, item, parts_person):
    count(sheet, 4, "One lost")
    reserve(part=item.part, count=2)
    hand_out(stock=item, count=2)
    stocktaking.book_sheet(sheet=sheet, by=parts_person)
    item.refresh_from_db()
    assert item.on_hand == 5 - 2 - 1


def test_pieces_in_totes_do_not_lie_there(shop, item, parts_person):
    reserve(part=item.part, count=2)
    book(item, "pick", picked=2)
    sheet = stocktaking.open_sheet(shop=shop, place="A1", by=parts_person)
    assert sheet.rows.get().expected == 3


def test_less_than_is_reserved_cannot_be_booked(shop, item, parts_person):
    reserve(part=item.part, count=4)
    sheet = stocktaking.open_sheet(shop=shop, place="A1", by=parts_person)
    count(sheet, 1, "Lost")
    with pytest.raises(FactRefused, match="reserved for jobs"):
        stocktaking.book_sheet(sheet=sheet, by=parts_person)
    assert CountSheet.objects.get().state == "open"


def test_a_sheet_is_booked_once(sheet, parts_person):
    count(sheet, 4, "One lost")
    stocktaking.book_sheet(sheet=sheet, by=parts_person)
    with pytest.raises(MoveRefused, match="Booked"):
        stocktaking.book_sheet(sheet=sheet, by=parts_person)
    assert StockItem.objects.get().on_hand == 4


def test_a_place_is_counted_by_one_sheet_at_a_time(sheet, shop, parts_person):
    with pytest.raises(FactRefused, match="being counted already"):
        stocktaking.open_sheet(shop=shop, place="A1", by=parts_person)
    with pytest.raises(FactRefused, match="Nothing lies"):
        stocktaking.open_sheet(shop=shop, place="Z9", by=parts_person)


def test_a_part_found_there_joins_the_sheet(sheet, shop, parts_person):
    part = PartFactory(shop=shop, number="XX-1")
    row = stocktaking.add_found(sheet=sheet, part=part)
    first = sheet.rows.exclude(pk=row.pk).get()
    stocktaking.write_counts(sheet=sheet, counts={row.pk: (2, "Found"), first.pk: (5, "")})
    stocktaking.book_sheet(sheet=sheet, by=parts_person)
    assert StockItem.objects.get(part=part).on_hand == 2


def test_the_page_keeps_what_is_counted_and_books_it(sheet, client_for, parts_person):
    client, row = client_for(parts_person), sheet.rows.get()
    url = reverse("stock:count_sheet", args=[sheet.pk])
    client.post(url, {f"row-{row.pk}": "4"})
    row.refresh_from_db()
    assert row.counted == 4
    page = client.post(url, {f"row-{row.pk}": "4", "book": "yes"})
    assert page.status_code == 422
    assert "Say why" in page.content.decode()
    client.post(url, {f"row-{row.pk}": "4", f"reason-{row.pk}": "One lost", "book": "yes"})
    assert StockItem.objects.get().on_hand == 4


@pytest.mark.parametrize("pieces", ["-1", "1000000000"])
def test_a_count_that_cannot_be_right_is_told(sheet, client_for, parts_person, pieces):
    row = sheet.rows.get()
    url = reverse("stock:count_sheet", args=[sheet.pk])
    page = client_for(parts_person).post(url, {f"row-{row.pk}": pieces})
    assert page.status_code == 422
    assert "count again" in page.content.decode()


def test_pages_of_counts_are_bound_to_role_and_shop(sheet, client_for, technician, stranger):
    url = reverse("stock:count_sheet", args=[sheet.pk])
    assert client_for(technician).get(url).status_code == 403
    assert client_for(stranger).get(url).status_code == 404
    assert client_for(technician).get(reverse("stock:counts")).status_code == 403


# The database holds what the forms say


def refused(act):
    with pytest.raises(IntegrityError), transaction.atomic():
        act()


def test_the_database_refuses_what_cannot_be_right(item, shop):
    supplier = SupplierFactory(shop=shop)
    order = PurchaseOrder.objects.create(shop=shop, supplier=supplier, number="PO-1")
    rows = StockItem.objects.filter(pk=item.pk)
    refused(lambda: rows.update(reserved=6))
    refused(lambda: rows.update(reserved=1, picked=2))
    refused(lambda: rows.update(on_hand=10**9))
    line = {"order": order, "position": 1, "part": item.part}
    refused(lambda: PurchaseLine.objects.create(quantity=10**9, **line))
    refused(lambda: PurchaseLine.objects.create(quantity=0, **line))
    refused(lambda: PurchaseLine.objects.create(quantity=1, unit_cents=-1, **line))
    refused(lambda: PurchaseLine.objects.create(quantity=1, spoken=2, **line))
    price = {"shop": shop, "supplier": supplier, "part": item.part, "seen_on": "2026-11-01"}
    refused(lambda: SupplierPrice.objects.create(price_cents=-1, **price))
    refused(lambda: SupplierPrice.objects.create(price_cents=2_000_000_001, **price))
    refused(lambda: Movement.objects.create(shop=shop, stock=item, kind="adjust", on_hand=1))
    refused(lambda: PurchaseOrder.objects.filter(pk=order.pk).update(state="lost"))
    type(item.part).objects.filter(pk=item.part_id)
    refused(lambda: type(item.part).objects.filter(pk=item.part_id).update(price_cents=-1))


# Substitutes, kits, places


@pytest.mark.parametrize(
    ("make", "other", "words"),
    [
        (lambda s: CablePartFactory(shop=s, cable_ft=10), {"cable_ft": 5}, "shorter cable"),
        (lambda s: FuseFactory(shop=s, fuse_ma=1000), {"fuse_ma": 3000}, "another rating"),
    ],
)
def test_what_does_not_do_the_same_is_no_substitute(shop, make, other, words):
    part = make(shop)
    factory = CablePartFactory if part.cable_ft else FuseFactory
    with pytest.raises(FactRefused, match=words):
        supply.say_substitute(part=part, other=factory(shop=shop, **other), note="So it is.")


def test_another_model_is_the_planners_question(shop):
    part, other = EquipmentPartFactory(shop=shop), EquipmentPartFactory(shop=shop)
    with pytest.raises(FactRefused, match="question of compatibility"):
        supply.say_substitute(part=part, other=other, note="Looks alike.")


def test_a_kit_holds_parts_not_kits(shop):
    kit, other, part = (PartFactory(shop=shop) for _ in range(3))
    supply.put_in_kit(kit=kit, part=part, count=2)
    with pytest.raises(FactRefused, match="not kits"):
        supply.put_in_kit(kit=other, part=kit, count=1)
    with pytest.raises(FactRefused, match="itself"):
        supply.put_in_kit(kit=part, part=part, count=1)


def test_free_pieces_are_carried_to_another_place(item, parts_person, shop):
    reserve(part=item.part, count=3)
    with pytest.raises(FactRefused, match="2 lie free"):
        supply.move_pieces(part=item.part, place="A1", to="Van 1", count=3, by=parts_person)
    supply.move_pieces(part=item.part, place="A1", to="Van 1", count=2, by=parts_person)
    assert dict(StockItem.objects.values_list("place", "on_hand")) == {"A1": 3, "Van 1": 2}
    assert not unexplained(shop)


def test_what_is_set_aside_is_promised_to_nobody(item, shop):
    Place.objects.create(shop=shop, name="A1", kind="aside")
    assert reserve(part=item.part, count=1) == []
