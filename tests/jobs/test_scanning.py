"""Scans at the counter: counted up piece by piece, wrong ones refused in words, undone."""

import pytest

from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.services.picking import count_picked
from shopapp.jobs.services.scanning import scan_piece, undo_scan
from shopapp.stock.models import Piece, StockItem
from tests.jobs.store_world import Store, explained, lines_of, states_of


@pytest.fixture
def store(shop, parts_person) -> Store:
    return Store(shop, parts_person)


def scan(store, job, code):
    return scan_piece(job=job, code=code, by=store.by)


def test_each_scan_counts_one_until_the_line_is_picked(store):
    item = store.shelf(store.lead, 5)
    job = store.job((store.lead, 2))

    assert scan(store, job, "400001").words == "LD-1 Power lead: 1 of 2 picked."
    assert states_of(job) == ["reserved"]
    scan(store, job, "ld-1")

    assert states_of(job) == ["picked"]
    item.refresh_from_db()
    assert (item.on_hand, item.reserved, item.picked, item.in_bin) == (5, 2, 2, 3)
    assert explained(store.shop)


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("999", "No part and no box has the code “999”"),
        ("CA-20", "Wrong part: CA-20 (Network cable 20 ft) is not on this list. It still wants"),
        ("", "Scan a bar code"),
        ("4000\x0001\n", "1 of 1"),
    ],
)
def test_a_code_that_does_not_fit_is_refused_in_words(store, code, words):
    store.shelf(store.lead, 5)
    job = store.job((store.lead, 1))
    try:
        said = scan(store, job, code).words
    except FactRefused as error:
        said = error.message
    assert words in said


def test_one_too_many_is_refused(store):
    store.shelf(store.lead, 5)
    job = store.job((store.lead, 1))
    scan(store, job, "LD-1")
    with pytest.raises(FactRefused, match="The one that is reserved lies in the tote already"):
        scan(store, job, "LD-1")
    assert lines_of(job)[0].picked == 1


def test_a_short_part_cannot_be_scanned(store):
    job = store.job((store.lead, 1))
    with pytest.raises(FactRefused, match="short on this list"):
        scan(store, job, "LD-1")


def test_the_last_scan_is_taken_back_once(store):
    item = store.shelf(store.lead, 5)
    job = store.job((store.lead, 2))
    scan(store, job, "LD-1")
    undo_scan(job=job, by=store.by)
    assert lines_of(job)[0].picked == 0
    item.refresh_from_db()
    assert (item.reserved, item.picked) == (2, 0)
    with pytest.raises(MoveRefused, match="No scan"):
        undo_scan(job=job, by=store.by)


# Boxes with serials


def test_equipment_on_record_asks_for_the_serial(store):
    item = store.shelf(store.box, 2)
    store.boxes(item, "SN-1", "SN-2")
    job = store.job((store.box, 1))
    with pytest.raises(FactRefused, match=r"Scan the serial of EQ-1.*SN-1, SN-2"):
        scan(store, job, "EQ-1")
    assert scan(store, job, "sn-2").piece.serial == "SN-2"
    box = Piece.objects.get(serial="SN-2")
    assert (box.state, box.ref) == ("tote", "J-5001")


def test_a_box_of_another_tote_is_refused(store):
    item = store.shelf(store.box, 2)
    store.boxes(item, "SN-1", "SN-2")
    scan(store, store.job((store.box, 1)), "SN-1")
    other = store.job((store.box, 1), number="J-5002")
    with pytest.raises(FactRefused, match="in the tote of J-5001 already"):
        scan(store, other, "SN-1")


def test_a_box_that_lies_elsewhere_is_refused(store):
    store.shelf(store.box, 1, "A1")
    other = store.shelf(store.box, 1, "B2")
    store.boxes(other, "SN-9")
    job = store.job((store.box, 1))
    with pytest.raises(FactRefused, match="lies at B2 by the books"):
        scan(store, job, "SN-9")


def test_a_count_by_hand_below_gives_boxes_back(store):
    item = store.shelf(store.box, 1)
    store.boxes(item, "SN-1")
    job = store.job((store.box, 1))
    scan(store, job, "SN-1")
    line = lines_of(job)[0]
    count_picked(job=job, counts={line.pk: 0}, by=store.by)
    assert Piece.objects.get().state == "here"
    assert StockItem.objects.get().picked == 0
