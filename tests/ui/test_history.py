"""Who changed what, and when."""

from typing import Any

import pytest

from shopapp.accounts.models import SignIn, User
from shopapp.ui.history import changes_of
from tests.factories.accounts import ShopFactory, TaxRateFactory


def test_a_change_names_the_fields_before_and_after(writer: User) -> None:
    writer.phone = "555 0101"
    writer.role = "manager"
    writer.save()
    newest, first = changes_of(writer)
    assert newest.what == "Changed"
    assert ("Role", "Service writer", "Manager") in newest.fields
    assert ("Phone", "nothing", "555 0101") in newest.fields
    assert (first.what, first.who, first.fields) == ("Added", "the system", [])


def test_a_row_referred_to_is_named(db: None) -> None:
    rate = TaxRateFactory(shop=ShopFactory(name="Old Pier Bench"))
    rate.shop = ShopFactory(name="New Pier Bench")
    rate.save()
    assert changes_of(rate)[0].fields == [("Shop", "Old Pier Bench", "New Pier Bench")]


def test_a_yes_and_a_day_are_words(writer: User) -> None:
    rate = TaxRateFactory()
    rate.valid_until = rate.history.first().valid_from.replace(year=2027)
    rate.save()
    assert changes_of(rate)[0].fields == [("Valid until", "nothing", "1 Jan 2027")]
    writer.must_change_password = True
    writer.save()
    assert changes_of(writer)[0].fields == [("Must change password", "no", "yes")]


def test_a_save_that_changed_nothing_is_no_change(writer: User) -> None:
    writer.save()
    assert [change.what for change in changes_of(writer)] == ["Added"]


def test_a_password_never_shows_among_the_changes(writer: User) -> None:
    writer.set_password("slow grey heron 9")
    writer.phone = "1"
    writer.save()
    assert [label for label, *_ in changes_of(writer)[0].fields] == ["Phone"]


def test_only_so_many_changes_are_read_and_the_last_one_is_told_apart(writer: User) -> None:
    for number in range(5):
        writer.phone = str(number)
        writer.save()
    changes = changes_of(writer, limit=2)
    assert [change.fields for change in changes] == [
        [("Phone", "3", "4")],
        [("Phone", "2", "3")],
    ]


def test_ten_changes_cost_as_many_queries_as_two(
    writer: User, django_assert_num_queries: Any
) -> None:
    writer.phone = "1"
    writer.save()
    with django_assert_num_queries(1):
        changes_of(writer)
    for number in range(2, 10):
        writer.phone = str(number)
        writer.save()
    with django_assert_num_queries(1):
        assert len(changes_of(writer)) == 10


def test_rows_that_keep_no_history_are_an_error(writer: User) -> None:
    with pytest.raises(AttributeError):
        changes_of(SignIn(user=writer))
