"""Shortages become orders; what arrives goes to those who wait; what never comes is short again."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Job, PickLine
from shopapp.jobs.services.shortages import Want, order_wanted, shortages_of
from shopapp.stock.models import Piece, PurchaseOrder, Receipt, StockItem
from shopapp.stock.ordering import (
    add_to_order,
    confirm_order,
    draft_for,
    end_order,
    note_promise,
    send_order,
)
from shopapp.stock.receiving import Box, Delivery, receive
from tests.jobs.store_world import Store, explained, lines_of, states_of


@pytest.fixture
def store(shop, parts_person) -> Store:
    return Store(shop, parts_person)


def order(store, part, count):
    (made,) = order_wanted(shop=store.shop, wants=[Want(part, store.supplier, count)], by=store.by)
    return made


def sent(store, part, count):
    made = order(store, part, count)
    send_order(order=made, by=store.by)
    return made.lines.get(part=part)


def take(store, line, **facts):
    return receive(line=line, delivery=Delivery(**facts), by=store.by)


def test_what_is_short_is_summed_by_supplier(store):
    store.shelf(store.lead, 1)
    store.job((store.lead, 3), (store.cable, 2))
    store.job((store.lead, 4), number="J-5002")
    (group,) = shortages_of(store.shop)
    assert group.supplier == store.supplier
    found = {row.part.number: (row.missing, row.jobs, row.to_order) for row in group.rows}
    assert found == {"CA-10": (2, 1, 2), "LD-1": (6, 2, 6)}
    assert group.total_cents == 2 * 900


def test_shortages_take_the_same_queries_for_one_job_and_three(store, django_assert_num_queries):
    store.job((store.lead, 3))
    with django_assert_num_queries(5):
        shortages_of(store.shop)
    for number in range(3):
        store.job((store.lead, 3), (store.cable, 1), number=f"J-60{number}")
    with django_assert_num_queries(5):
        shortages_of(store.shop)


def test_an_order_is_spoken_for_by_the_soonest_job_first(store):
    late = store.job((store.lead, 2))
    soon = store.job((store.lead, 2), number="J-5002")
    Job.objects.filter(pk=late.pk).update(planned_on=date(2026, 12, 9))
    Job.objects.filter(pk=soon.pk).update(planned_on=date(2026, 12, 1))

    made = order(store, store.lead, 3)

    assert states_of(soon) == ["reserved"]
    assert [(one.wanted, one.ordered, one.state) for one in lines_of(late)] == [
        (1, 1, "reserved"),
        (1, 0, "short"),
    ]
    assert made.lines.get().spoken == 3


def test_a_second_want_of_one_supplier_goes_on_the_same_draft(store):
    first = order(store, store.lead, 1)
    assert order(store, store.lead, 2) == first
    assert first.lines.get().quantity == 3
    assert order(store, store.cable, 1) == first


@pytest.mark.parametrize("count", [0, -1, 10**9])
def test_a_quantity_that_cannot_be_right_orders_nothing(store, count):
    with pytest.raises(FactRefused) as refused:
        order(store, store.lead, count)
    assert refused.value.field == f"part-{store.lead.pk}"
    assert not PurchaseOrder.objects.exists()


def test_received_pieces_go_to_those_who_wait_and_make_the_job_ready(store):
    job = store.job((store.lead, 2))
    line = sent(store, store.lead, 5)

    take(store, line, good=3)

    assert states_of(job) == ["reserved"]
    assert lines_of(job)[0].stock.place == "Goods in"
    job.refresh_from_db()
    assert job.state == "ready"
    item = StockItem.objects.get()
    assert (item.on_hand, item.reserved) == (3, 2)
    line.refresh_from_db()
    assert (line.order.state, line.spoken, line.outstanding) == ("part_received", 0, 2)


def test_a_part_of_it_serves_a_part_of_the_line(store):
    job = store.job((store.lead, 4))
    line = sent(store, store.lead, 4)
    take(store, line, good=1)
    assert [(one.reserved, one.ordered, one.state) for one in lines_of(job)] == [
        (1, 0, "reserved"),
        (0, 3, "reserved"),
    ]
    job.refresh_from_db()
    assert job.state == "waiting"
    line.refresh_from_db()
    assert line.spoken == 3


def test_more_than_was_ordered_is_kept_as_a_fact(store):
    line = sent(store, store.lead, 2)
    take(store, line, good=3)
    line.refresh_from_db()
    assert (line.over, line.order.state, StockItem.objects.get().on_hand) == (1, "received", 3)


def test_damaged_pieces_are_ours_but_promised_to_nobody(store):
    job = store.job((store.lead, 2))
    line = sent(store, store.lead, 2)
    with pytest.raises(FactRefused, match="Say what is damaged"):
        take(store, line, damaged=1)
    take(store, line, good=1, damaged=1, note="Box crushed.")
    line.refresh_from_db()
    assert (line.received, line.damaged, line.outstanding) == (1, 1, 1)
    aside = StockItem.objects.get(place="Damaged, set aside")
    assert (aside.on_hand, aside.reserved) == (1, 0)
    assert [one.state for one in lines_of(job)] == ["reserved", "reserved"]
    assert explained(store.shop)


def test_a_wrong_suffix_is_another_part(store):
    job = store.job((store.box, 1))
    line = sent(store, store.box, 1)
    receipt = take(store, line, good=1, boxes=[Box("SN-7")], came_as=store.lead)
    assert receipt.came_as == store.lead
    line.refresh_from_db()
    assert (line.received, line.wrong, line.outstanding) == (0, 1, 1)
    assert StockItem.objects.get().part == store.lead
    assert lines_of(job)[0].ordered == 1


# Serials


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"good": 2, "boxes": [Box("SN-1")]}, "2 boxes came, 1 serials are read"),
        ({"good": 2, "boxes": [Box("SN-1"), Box("sn-1")]}, "read twice"),
        ({"good": 1, "boxes": [Box("SN-1"), Box("SN-2")]}, "2 serials for 1 boxes|1 boxes came"),
        ({"good": 1, "boxes": [Box("")]}, "1 to 60 characters"),
        ({"good": 0}, "Say how many"),
        ({"good": 10**9}, "count again"),
        ({"good": -1}, "count again"),
    ],
)
def test_boxes_that_cannot_be_right_are_refused(store, facts, words):
    line = sent(store, store.box, 2)
    with pytest.raises(FactRefused, match=words):
        take(store, line, **facts)
    assert not StockItem.objects.exists()
    assert not Receipt.objects.exists()


def test_serial_firmware_and_region_are_kept_with_the_box(store):
    line = sent(store, store.box, 1)
    take(store, line, good=1, boxes=[Box("SN-1", "2.4", "US")])
    box = Piece.objects.get()
    assert (box.serial, box.firmware, box.region, box.state) == ("SN-1", "2.4", "US", "here")
    with pytest.raises(FactRefused, match="received before"):
        take(store, line, good=1, boxes=[Box("SN-1")])


def test_a_form_sent_twice_books_once(store):
    line = sent(store, store.lead, 5)
    take(store, line, good=2, key="one")
    with pytest.raises(MoveRefused, match="booked already"):
        take(store, line, good=2, key="one")
    line.refresh_from_db()
    assert line.received == 2
    assert StockItem.objects.get().on_hand == 2


# The life of an order


def test_promises_keep_their_history(store):
    line = sent(store, store.lead, 2)
    first, second = timezone.localdate(), timezone.localdate() + timedelta(days=9)
    confirm_order(order=line.order, promised_on=first, said_by="Ines", by=store.by)
    line.refresh_from_db()
    note_promise(line=line, promised_on=second, said_by="Ines", note="Strike.", by=store.by)
    line.refresh_from_db()
    assert line.promised_on == second
    said = list(line.promises.values_list("promised_on", "said_by", "note"))
    assert said == [(second, "Ines", "Strike."), (first, "Ines", "")]


def test_what_never_comes_is_short_again_and_needs_a_reason(store):
    job = store.job((store.lead, 2))
    line = sent(store, store.lead, 2)
    take(store, line, good=1)
    line.order.refresh_from_db()
    with pytest.raises(FactRefused, match="1 pieces have not come"):
        end_order(order=line.order, after="closed", by=store.by)
    end_order(order=line.order, after="closed", by=store.by, note="No longer made.")
    assert sorted(states_of(job)) == ["reserved", "short"]
    line.refresh_from_db()
    assert (line.spoken, line.outstanding) == (0, 1)


def test_nothing_is_received_on_a_draft(store):
    made = order(store, store.lead, 1)
    with pytest.raises(MoveRefused, match="nothing is received"):
        take(store, made.lines.get(), good=1)


def test_an_order_that_was_sent_is_not_changed(store):
    line = sent(store, store.lead, 1)
    line.order.refresh_from_db()
    with pytest.raises(MoveRefused, match="only a draft"):
        add_to_order(order=line.order, part=store.cable, quantity=1)
    with pytest.raises(MoveRefused, match="cannot become"):
        send_order(order=line.order, by=store.by)


def test_numbers_of_orders_go_up(store, shop):
    first = order(store, store.lead, 1)
    send_order(order=first, by=store.by)
    second = draft_for(supplier=store.supplier, by=store.by)
    assert (first.number, second.number) == ("PO-1001", "PO-1002")
    assert PickLine.objects.count() == 0
