"""Reserving stock: as much as there is, never more, never the same piece twice."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from shopapp.errors import MoveRefused
from shopapp.stock.models import StockItem
from shopapp.stock.services import give_back, hand_out, reserve
from tests.factories.catalog import PartFactory, StockItemFactory


def shelf(on_hand: int, reserved: int = 0, **facts) -> StockItem:
    return StockItemFactory(on_hand=on_hand, reserved=reserved, **facts)


def test_nothing_on_the_shelf_reserves_nothing(db):
    assert reserve(part=PartFactory(), count=3) == []


def test_what_lies_there_is_spoken_for(db):
    item = shelf(10)

    assert reserve(part=item.part, count=3) == [(item, 3)]

    item.refresh_from_db()
    assert (item.reserved, item.free) == (3, 7)


def test_short_stock_gives_what_there_is(db):
    item = shelf(5, reserved=4)

    assert reserve(part=item.part, count=3) == [(item, 1)]


def test_a_second_shelf_helps_out(db):
    first = shelf(2)
    second = shelf(2, part=first.part)

    assert reserve(part=first.part, count=3) == [(first, 2), (second, 1)]


def test_two_in_turn_never_get_the_same_piece(db):
    item = shelf(3)

    taken = [sum(n for _, n in reserve(part=item.part, count=2)) for _ in range(3)]

    assert taken == [2, 1, 0]


def test_pieces_given_back_are_free_again(db):
    item = shelf(3, reserved=3)

    give_back(stock=item, count=2)

    item.refresh_from_db()
    assert item.free == 2


def test_more_than_is_reserved_is_not_given_back(db):
    item = shelf(3, reserved=1)

    with pytest.raises(MoveRefused, match="Fewer than 2"):
        give_back(stock=item, count=2)


def test_pieces_handed_out_leave_the_shelf(db):
    item = shelf(3, reserved=2)

    hand_out(stock=item, count=2)

    item.refresh_from_db()
    assert (item.on_hand, item.reserved) == (1, 0)


def test_pieces_that_nobody_reserved_are_not_handed_out(db):
    item = shelf(3, reserved=0)

    with pytest.raises(MoveRefused, match="Fewer than 1"):
        hand_out(stock=item, count=1)


class AnyOrder(TestCase):
    @settings(max_examples=25, deadline=None)
    @given(
        st.lists(st.integers(0, 9), min_size=1, max_size=3),
        st.lists(st.integers(1, 9), max_size=5),
    )
    def test_however_it_is_asked_for_no_shelf_is_promised_twice(self, shelves, asked):
        part = PartFactory()
        for on_hand in shelves:
            shelf(on_hand, part=part)

        given_out = sum(n for count in asked for _, n in reserve(part=part, count=count))

        assert given_out == min(sum(shelves), sum(asked))
        for item in StockItem.objects.filter(part=part):
            assert 0 <= item.reserved <= item.on_hand
