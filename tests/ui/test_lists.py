"""Lists a page at a time, without counting."""

from typing import Any

import pytest
from django.test import RequestFactory

from shopapp.accounts.models import Shop, User
from shopapp.ui.lists import ListPage, list_page
from tests.factories.accounts import UserFactory


def page_of(address: str, rows: Any, **options: int) -> ListPage:
    return list_page(RequestFactory().get(address), rows, **options)


def test_a_page_knows_whether_another_follows() -> None:
    first = page_of("/", range(5), per_page=2)
    assert (first.items, first.has_next, first.has_previous) == ([0, 1], True, False)
    last = page_of("/?page=3", range(5), per_page=2)
    assert (last.items, last.has_next, last.has_previous) == ([4], False, True)


def test_a_full_last_page_is_the_last() -> None:
    assert not page_of("/?page=2", range(4), per_page=2).has_next


@pytest.mark.parametrize("wild", ["0", "-1", "x", "", "1e3", "²", "99999999999999999999"])
def test_a_number_that_is_no_page_is_the_first(wild: str) -> None:
    assert page_of(f"/?page={wild}", range(3)).number == 1


def test_a_page_behind_the_end_is_empty_and_leads_back() -> None:
    page = page_of("/?page=900", range(3))
    assert (page.items, page.has_next, page.has_previous) == ([], False, True)


def test_a_page_costs_one_query_and_counts_nothing(
    shop: Shop, django_assert_num_queries: Any
) -> None:
    UserFactory.create_batch(4, shop=shop)
    with django_assert_num_queries(1) as asked:
        page = page_of("/", User.objects.order_by("pk"), per_page=3)
    assert len(page) == 3
    assert "LIMIT 4" in asked[0]["sql"]
    assert "COUNT" not in asked[0]["sql"]
