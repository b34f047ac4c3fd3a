"""Enquiries: taken down, found, changed, planned, closed."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.accounts.models import Shop, User
from shopapp.jobs.models import Enquiry
from tests.factories.boats import BoatFactory
from tests.factories.customers import CustomerFactory

pytestmark = pytest.mark.django_db
ClientFor = Callable[[User], Client]
LIST_QUERIES = 3


def asked(shop: Shop, number: str = "E-1001", **facts: object) -> Enquiry:
    boat = facts.pop("boat", None) or BoatFactory(shop=shop, name="Slow Tern")
    return Enquiry.objects.create(
        shop=shop,
        number=number,
        customer=boat.customer,
        boat=boat,
        words="The bow wants a second screen.",
        **facts,
    )


def text_of(response: object) -> str:
    return response.content.decode()


def test_an_enquiry_is_taken_down_under_the_next_number(
    shop: Shop, writer: User, client_for: ClientFor
) -> None:
    boat = BoatFactory(shop=shop)
    sent = {
        "customer": boat.customer_id,
        "boat": boat.pk,
        "came_by": "phone",
        "words": "More charts, please.",
        "budget_cents": "2,500.00",
    }
    response = client_for(writer).post(reverse("jobs:enquiry_add"), sent)
    row = Enquiry.objects.get()
    assert response.url == reverse("jobs:enquiry", args=[row.pk])
    assert (row.number, row.shop, row.taken_by) == ("E-1001", shop, writer)
    assert (row.customer, row.boat, row.budget_cents) == (boat.customer, boat, 250000)


def test_an_enquiry_needs_a_customer_and_words(
    shop: Shop, writer: User, client_for: ClientFor
) -> None:
    response = client_for(writer).post(reverse("jobs:enquiry_add"), {"came_by": "phone"})
    assert response.status_code == 422
    assert text_of(response).count("Fill this in.") == 2
    assert not Enquiry.objects.exists()


def test_another_customers_boat_is_told_beside_the_boat(
    shop: Shop, writer: User, client_for: ClientFor
) -> None:
    boat = BoatFactory(shop=shop)
    other = CustomerFactory(shop=shop)
    sent = {"customer": other.pk, "boat": boat.pk, "came_by": "phone", "words": "Hello"}
    response = client_for(writer).post(reverse("jobs:enquiry_add"), sent)
    assert response.status_code == 422
    assert f"belongs to {boat.customer}" in text_of(response)


def test_another_shops_customer_cannot_be_named(
    shop: Shop, writer: User, client_for: ClientFor
) -> None:
    far = CustomerFactory()
    sent = {"customer": far.pk, "came_by": "phone", "words": "Hello"}
    response = client_for(writer).post(reverse("jobs:enquiry_add"), sent)
    assert response.status_code == 422
    assert not Enquiry.objects.exists()


def test_an_enquiry_is_changed(shop: Shop, writer: User, client_for: ClientFor) -> None:
    row = asked(shop)
    sent = {
        "customer": row.customer_id,
        "boat": row.boat_id,
        "came_by": "dock",
        "words": "Two screens now.",
        "state": "survey",
    }
    client_for(writer).post(reverse("jobs:enquiry_edit", args=[row.pk]), sent)
    row.refresh_from_db()
    assert (row.words, row.state, row.came_by) == ("Two screens now.", "survey", "dock")


def test_the_form_of_a_kept_enquiry_names_its_customer(
    shop: Shop, writer: User, client_for: ClientFor
) -> None:
    row = asked(shop)
    page = text_of(client_for(writer).get(reverse("jobs:enquiry_edit", args=[row.pk])))
    assert f'value="{row.customer.name}"' in page
    assert 'value="Slow Tern"' in page


def test_plan_this_leads_to_the_wishes_of_its_boat(
    shop: Shop, writer: User, client_for: ClientFor
) -> None:
    row = asked(shop)
    page = text_of(client_for(writer).get(reverse("jobs:enquiry", args=[row.pk])))
    assert f"{reverse('planner:wish', args=[row.boat_id])}?enquiry={row.pk}" in page


def test_closing_leaves_the_list_and_opening_brings_it_back(
    shop: Shop, writer: User, client_for: ClientFor
) -> None:
    row = asked(shop)
    client = client_for(writer)
    client.post(reverse("jobs:enquiry_close", args=[row.pk]))
    assert "Slow Tern" not in text_of(client.get(reverse("jobs:enquiries")))
    assert "Slow Tern" in text_of(client.get(reverse("jobs:enquiries"), {"state": "closed"}))
    assert client.post(reverse("jobs:enquiry_close", args=[row.pk])).status_code == 409
    client.post(reverse("jobs:enquiry_reopen", args=[row.pk]))
    row.refresh_from_db()
    assert row.state == Enquiry.State.NEW


@pytest.mark.parametrize(("words", "found"), [("tern", True), ("e-1001", True), ("gannet", False)])
def test_enquiries_are_found_by_boat_or_number(
    shop: Shop, writer: User, client_for: ClientFor, words: str, found: bool
) -> None:
    asked(shop)
    page = text_of(client_for(writer).get(reverse("jobs:enquiries"), {"q": words}))
    assert ("The bow wants a second screen." in page) is found


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_keeps_its_queries(
    shop: Shop,
    writer: User,
    client_for: ClientFor,
    django_assert_num_queries: Callable,
    count: int,
) -> None:
    for number in range(count):
        asked(shop, f"E-{number}", boat=BoatFactory(shop=shop))
    client = client_for(writer)
    client.get(reverse("jobs:enquiries"))
    with django_assert_num_queries(LIST_QUERIES):
        client.get(reverse("jobs:enquiries"))


def test_strangers_and_the_bench_see_no_enquiries(
    shop: Shop, stranger: User, technician: User, client_for: ClientFor
) -> None:
    row = asked(shop)
    page = reverse("jobs:enquiry", args=[row.pk])
    assert client_for(stranger).get(page).status_code == 404
    assert client_for(technician).get(page).status_code == 403
    close = reverse("jobs:enquiry_close", args=[row.pk])
    assert client_for(stranger).post(close).status_code == 404
