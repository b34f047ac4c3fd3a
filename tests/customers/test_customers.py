"""Customers: found by any word, saved with phones and approvers, retired rather than deleted."""

from collections.abc import Callable

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat
from shopapp.customers.models import Customer
from shopapp.customers.services import ApproverRow, PhoneRow, save_customer
from tests.boats.aboard import sheet
from tests.factories.boats import BoatFactory
from tests.factories.customers import ApproverFactory, CustomerFactory, PhoneFactory

Open = Callable[[User], Client]
INES = {"name": "Ines Calloway", "preferred_way": "phone"}


@pytest.fixture
def desk(writer: User, client_for: Open) -> Client:
    return client_for(writer)


def text_of(answer: object) -> str:
    return answer.content.decode()


def sent(
    phones: list[dict] | None = None, approvers: list[dict] | None = None, **facts: str
) -> dict:
    return {**INES, **facts, **sheet("phones", phones or []), **sheet("approvers", approvers or [])}


def test_a_customer_is_added_with_phones_in_order_and_approvers(desk: Client) -> None:
    phones = [{"number": "(555) 01-01", "label": "mobile"}, {"number": "555 0202"}]
    approvers = [{"name": "Rolf", "relation": "husband", "up_to_cents": "1,250.50"}]
    assert desk.post("/customers/add/", sent(phones, approvers)).status_code == 302
    row = Customer.objects.get()
    assert [phone.number for phone in row.phones.all()] == ["(555) 01-01", "555 0202"]
    assert row.approvers.get().up_to_cents == 125050
    assert Customer.objects.matching("5550101").get() == row


def test_blank_rows_and_struck_rows_are_not_kept(desk: Client) -> None:
    phones = [{"number": "1"}, {"number": "2", "DELETE": "on"}, {"number": ""}]
    desk.post("/customers/add/", sent(phones))
    assert [phone.number for phone in Customer.objects.get().phones.all()] == ["1"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": ""}, "Fill this in."),
        ({"tax_exempt": "on"}, "needs the certificate"),
        ({"approve_limit_cents": "-5"}, "cannot be below zero"),
        ({"phones": [{"number": "55 5"}, {"number": "555"}]}, "stands above already"),
        ({"approvers": [{"relation": "brother"}]}, "Fill this in."),
        ({"approvers": [{"name": "A"}, {"name": "a"}]}, "stands above already"),
    ],
)
def test_what_cannot_be_is_named_beside_its_field_and_nothing_is_saved(
    desk: Client, change: dict, words: str
) -> None:
    answer = desk.post("/customers/add/", sent(office_note="typed with care", **change))
    assert answer.status_code == 422
    assert words in text_of(answer)
    assert "typed with care" in text_of(answer)
    assert not Customer.objects.exists()


def test_an_edit_keeps_the_sheets_and_the_history(desk: Client, shop: Shop) -> None:
    row = save_customer(
        customer=Customer(shop=shop, name="Ines"),
        phones=[PhoneRow("1"), PhoneRow("2")],
        approvers=[ApproverRow("Rolf")],
    )
    text = text_of(desk.get(f"/customers/{row.pk}/edit/"))
    assert 'value="Rolf"' in text
    desk.post(f"/customers/{row.pk}/edit/", sent([{"number": "2"}, {"number": "1"}]))
    assert [phone.number for phone in row.phones.all()] == ["2", "1"]
    page = text_of(desk.get(f"/customers/{row.pk}/"))
    assert "Ines Calloway" in page
    assert "Changed</b> by Wanda Pell" in page


def test_a_new_name_is_found_on_the_boats_too(desk: Client, shop: Shop) -> None:
    boat = BoatFactory(shop=shop)
    desk.post(f"/customers/{boat.customer_id}/edit/", sent(name="Ottilie Brandt"))
    assert Boat.objects.matching("ottilie").get() == boat


def test_a_customer_with_boats_is_retired_and_never_deleted(desk: Client, shop: Shop) -> None:
    boat = BoatFactory(shop=shop)
    path = f"/customers/{boat.customer_id}/"
    refused = desk.post(f"{path}delete/")
    assert refused.status_code == 409
    assert "still named by boats" in text_of(refused)
    desk.post(f"{path}retire/", follow=True)
    assert boat.customer.name not in text_of(desk.get("/customers/"))
    assert boat.customer.name in text_of(desk.get("/customers/?retired=1"))
    desk.post(f"{path}restore/", follow=True)
    assert boat.customer.name in text_of(desk.get("/customers/"))


def test_a_customer_that_nothing_refers_to_is_deleted(desk: Client, shop: Shop) -> None:
    row = CustomerFactory(shop=shop)
    assert desk.post(f"/customers/{row.pk}/delete/").status_code == 302
    assert not Customer.objects.exists()


@pytest.mark.parametrize("page", ["", "edit/", "delete/"])
def test_a_stranger_finds_no_customer(
    stranger: User, client_for: Open, shop: Shop, page: str
) -> None:
    row = CustomerFactory(shop=shop)
    assert client_for(stranger).get(f"/customers/{row.pk}/{page}").status_code == 404


def test_technicians_do_not_read_customers_and_the_counter_does_not_edit_them(
    technician: User, parts_person: User, client_for: Open, shop: Shop
) -> None:
    row = CustomerFactory(shop=shop)
    assert client_for(technician).get(f"/customers/{row.pk}/").status_code == 403
    assert client_for(parts_person).get(f"/customers/{row.pk}/").status_code == 200
    assert client_for(parts_person).get(f"/customers/{row.pk}/edit/").status_code == 403


def test_the_list_asks_as_much_for_three_as_for_one(
    desk: Client, shop: Shop, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    def add() -> None:
        row = BoatFactory(shop=shop).customer
        PhoneFactory(customer=row)
        ApproverFactory(customer=row)

    def asked() -> int:
        desk.get("/customers/")
        with django_assert_max_num_queries(15) as queries:
            desk.get("/customers/")
        return len(queries)

    add()
    one = asked()
    add()
    add()
    assert asked() == one


def test_the_list_behind_customers_keeps_to_the_shop(desk: Client, shop: Shop) -> None:
    CustomerFactory(shop=shop, name="Ines Calloway")
    CustomerFactory(name="Ines Elsewhere")
    text = text_of(desk.get("/pick/customers", {"q": "ines"}))
    assert "Calloway" in text
    assert "Elsewhere" not in text
