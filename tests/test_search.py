"""Search from anywhere, bound to role and shop, in a bounded number of queries."""

import pytest
from django.urls import reverse

from shopapp.boats.models import Boat, Location, Unit
from shopapp.customers.models import Customer
from shopapp.search import find
from tests.factories.catalog import EquipmentModelFactory, PartFactory
from tests.factories.jobs import make_boat
from tests.test_home import job_of


@pytest.fixture
def heron(shop):
    boat = make_boat(shop, name="Petra Heron", search="petra heron 555-0142")
    Boat.objects.filter(pk=boat.pk).update(name="Grey Heron", search="grey heron petra c14")
    Customer.objects.filter(pk=boat.customer_id).update(search="petra heron 555-0142")
    model = EquipmentModelFactory(shop=shop, name="Heron Display")
    place = Location.objects.create(boat=boat, name="console")
    Unit.objects.create(boat=boat, name="d1", model=model, location=place, serial="HX-20417")
    PartFactory(shop=shop, number="HERON-1", name="Heron bracket")
    boat.refresh_from_db()
    job_of(shop, boat, "J-4711")
    return boat


def titles(user, text):
    return [group.title for group in find(user=user, text=text)]


def test_one_word_finds_every_kind(heron, manager):
    assert titles(manager, "heron") == ["Boats", "Customers", "Jobs", "Parts", "Models"]


def test_a_serial_number_leads_to_its_boat(heron, manager, client_for):
    assert titles(manager, "hx-204") == ["Serial numbers"]
    page = client_for(manager).get(reverse("search"), {"q": "HX-20417"})
    assert page.status_code == 302
    assert page["Location"] == reverse("boats:boat", args=[heron.pk])


def test_a_technician_finds_no_customers_and_no_quotes(heron, technician, client_for):
    assert "Customers" not in titles(technician, "heron")
    text = client_for(technician).get(reverse("search"), {"q": "heron"}).content.decode()
    assert "Petra" not in text


def test_a_technician_does_not_find_a_customer_by_the_phone(heron, technician):
    assert titles(technician, "555-0142") == []


def test_another_shop_finds_nothing(heron, stranger):
    assert titles(stranger, "heron") == []


def test_at_most_ten_of_a_kind_are_shown_and_it_is_said(shop, manager, client_for):
    for number in range(12):
        PartFactory(shop=shop, number=f"ZED-{number}", name="Zed clip")
    (group,) = find(user=manager, text="zed")
    assert (len(group.hits), group.more) == (10, True)
    assert (
        "There are more"
        in client_for(manager).get(reverse("search"), {"q": "zed"}).content.decode()
    )


@pytest.mark.parametrize("text", ["", "a", "   ", "zebra", "%_'\"<script>", "x " * 300])
def test_any_words_are_answered(db, manager, client_for, text):
    page = client_for(manager).get(reverse("search"), {"q": text})
    assert page.status_code == 200
    assert "<script>alert" not in page.content.decode()


def test_a_search_takes_at_most_12_queries(
    heron, manager, client_for, django_assert_max_num_queries
):
    client = client_for(manager)
    client.get(reverse("home"))
    with django_assert_max_num_queries(12):
        client.get(reverse("search"), {"q": "heron"})
