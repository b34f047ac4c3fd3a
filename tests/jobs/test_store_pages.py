"""The store's pages: bound to roles and shop, a fixed number of queries, errors in words."""

import pytest
from django.urls import reverse

from shopapp.jobs.models import PickLine
from shopapp.jobs.services.picking import count_picked
from shopapp.jobs.services.shortages import speak_for_waiting
from shopapp.jobs.totes import ALWAYS_IN_THE_TOTE
from shopapp.stock.models import PurchaseOrder, StockItem
from tests.jobs.store_world import Store, lines_of, states_of


@pytest.fixture
def store(shop, parts_person) -> Store:
    return Store(shop, parts_person)


@pytest.fixture
def client(client_for, parts_person):
    return client_for(parts_person)


LISTS = ["pick_lists", "shortages", "orders", "leftovers"]


@pytest.mark.parametrize("name", LISTS)
def test_lists_ask_the_same_number_of_queries_for_one_and_three(
    store, client, name, django_assert_max_num_queries
):
    url = reverse(f"jobs:{name}")
    store.ordered(store.longer, 2)
    store.job((store.lead, 2), (store.cable, 1))
    client.get(url)
    with django_assert_max_num_queries(15) as one:
        client.get(url)
    for number in range(3):
        store.job((store.lead, 2), (store.box, 1), number=f"J-70{number}")
    with django_assert_max_num_queries(15) as more:
        assert client.get(url).status_code == 200
    assert len(more) == len(one)


@pytest.mark.parametrize(
    ("name", "role", "status"),
    [
        ("pick", "technician", 200),
        ("pick", "stranger", 404),
        ("scan", "technician", 403),
        ("scan", "stranger", 404),
        ("scan_undo", "technician", 403),
        ("stage", "technician", 403),
        ("issue", "stranger", 404),
        ("pick_reserve", "technician", 403),
    ],
)
def test_the_counter_is_bound_to_role_and_shop(store, client_for, request, name, role, status):
    job = store.job((store.lead, 1))
    client = client_for(request.getfixturevalue(role))
    url = reverse(f"jobs:{name}", args=[job.pk])
    answer = client.get(url) if name == "pick" else client.post(url)
    assert answer.status_code == status


@pytest.mark.parametrize(
    ("name", "role", "status"),
    [
        ("order", "technician", 403),
        ("order", "stranger", 404),
        ("order", "writer", 200),
        ("order_send", "writer", 403),
        ("order_send", "stranger", 404),
        ("order_confirm", "writer", 403),
        ("order_line_add", "stranger", 404),
    ],
)
def test_orders_are_bound_to_role_and_shop(store, client_for, request, name, role, status):
    order = store.ordered(store.lead, 1).order
    client = client_for(request.getfixturevalue(role))
    url = reverse(f"jobs:{name}", args=[order.pk])
    answer = client.get(url) if name == "order" else client.post(url)
    assert answer.status_code == status


def test_a_scan_is_counted_and_said(store, client):
    store.shelf(store.lead, 5)
    job = store.job((store.lead, 2))
    page = client.post(reverse("jobs:scan", args=[job.pk]), {"code": "400001"}, follow=True)
    assert "1 of 2 picked" in page.content.decode()


def test_a_wrong_scan_keeps_the_code_and_says_why(store, client):
    store.shelf(store.lead, 5)
    job = store.job((store.lead, 2))
    page = client.post(reverse("jobs:scan", args=[job.pk]), {"code": "CA-20"})
    text = page.content.decode()
    assert page.status_code == 422
    assert "Wrong part: CA-20" in text
    assert 'value="CA-20"' in text


def test_a_scan_by_the_page_itself_answers_with_the_counter_alone(store, client):
    store.shelf(store.lead, 5)
    job = store.job((store.lead, 2))
    url = reverse("jobs:scan", args=[job.pk])
    page = client.post(url, {"code": "LD-1"}, headers={"HX-Request": "true"})
    assert page.status_code == 200
    assert "<html" not in page.content.decode()


def test_staging_without_a_word_on_what_is_left_out_keeps_what_was_typed(store, client):
    store.shelf(store.lead, 5)
    job = store.job((store.lead, 1))
    line = lines_of(job)[0]
    count_picked(job=job, counts={line.pk: 1}, by=store.by)
    url = reverse("jobs:stage", args=[job.pk])
    page = client.post(url, {"totes": "3", "extras": ["caps"]})
    text = page.content.decode()
    assert page.status_code == 422
    assert "Not ticked" in text
    assert 'value="3"' in text
    page = client.post(url, {"totes": "3", "extras": list(ALWAYS_IN_THE_TOTE)}, follow=True)
    assert "3 totes staged" in page.content.decode()


def test_shortages_become_an_order(store, client):
    store.job((store.lead, 2))
    page = client.post(
        reverse("jobs:shortages"),
        {f"part-{store.lead.pk}": "3", f"supplier-{store.lead.pk}": str(store.supplier.pk)},
    )
    order = PurchaseOrder.objects.get()
    assert page.url == reverse("jobs:order", args=[order.pk])
    assert order.lines.get().quantity == 3


@pytest.mark.parametrize("count", ["-1", "1000000000", "many"])
def test_a_quantity_that_cannot_be_right_is_told_beside_its_box(store, client, count):
    store.job((store.lead, 2))
    data = {f"part-{store.lead.pk}": count, f"supplier-{store.lead.pk}": str(store.supplier.pk)}
    page = client.post(reverse("jobs:shortages"), data)
    assert page.status_code == 422
    assert not PurchaseOrder.objects.exists()


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"quantity": "1000000000"}, "this cannot be right"),
        ({"quantity": "0"}, "this cannot be right"),
        ({"unit_cents": "-1"}, "below zero"),
        ({"part": ""}, "Fill this in"),
    ],
)
def test_a_line_that_cannot_be_right_is_refused(store, client, typed, words):
    order = store.ordered(store.lead, 1).order
    PurchaseOrder.objects.filter(pk=order.pk).update(state="draft")
    data = {"part": store.cable.pk, "quantity": "1", "unit_cents": "9.50"} | typed
    page = client.post(reverse("jobs:order_line_add", args=[order.pk]), data)
    assert page.status_code == 422
    assert words in page.content.decode()


def test_a_delivery_is_typed_box_by_box(store, client):
    job = store.job((store.box, 2))
    line = store.ordered(store.box, 2)
    speak_for_waiting(shop=store.shop, part=store.box)
    page = client.post(
        reverse("jobs:order_receive", args=[line.pk]),
        {"good": "2", "boxes": "SN-1, 2.4, US\nSN-2", "place": "Goods in", "key": "k1"},
    )
    assert page.status_code == 302
    assert states_of(job) == ["reserved"]
    assert StockItem.objects.get().on_hand == 2
    text = client.get(reverse("jobs:order", args=[line.order_id])).content.decode()
    assert "Received" in text


def test_boxes_not_read_are_told_beside_the_box(store, client):
    line = store.ordered(store.box, 2)
    url = reverse("jobs:order_receive", args=[line.pk])
    page = client.post(url, {"good": "2", "boxes": "SN-1", "place": "Goods in", "key": "k1"})
    assert page.status_code == 422
    assert "2 boxes came, 1 serials are read" in page.content.decode()


def test_a_longer_cable_is_offered_and_taken_a_shorter_one_never(store, client):
    store.shelf(store.longer, 3)
    store.shelf(store.shorter, 3)
    job = store.job((store.cable, 2))
    line = lines_of(job)[0]
    text = client.get(reverse("jobs:substitute", args=[line.pk])).content.decode()
    assert "CA-20" in text
    assert "10 ft longer: stow 10 ft more slack" in text
    assert "CA-5 " not in text
    take = reverse("jobs:substitute_take", args=[line.pk])
    page = client.post(take, {"part": store.shorter.pk})
    assert page.status_code == 422
    assert "A shorter cable is no substitute" in page.content.decode()
    assert client.post(take, {"part": store.longer.pk}).status_code == 302
    line = PickLine.objects.get()
    assert (line.part, line.instead_of, line.state) == (store.longer, store.cable, "reserved")
    assert line.note == "instead of CA-10: 10 ft longer: stow 10 ft more slack"
