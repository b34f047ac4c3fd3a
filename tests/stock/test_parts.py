"""Parts, what lies on which shelf, and suppliers."""

import pytest
from django.urls import reverse

from shopapp.catalog.models import Part, Supplier
from shopapp.catalog.services.parts import newest_of
from shopapp.errors import FactRefused
from shopapp.stock.counts import correct_count
from shopapp.stock.models import StockItem
from tests.factories.catalog import (
    AdapterFactory,
    EquipmentModelFactory,
    PartFactory,
    StockItemFactory,
    SupplierFactory,
)

pytestmark = pytest.mark.django_db
LIST = reverse("stock:parts")


@pytest.fixture
def client(client_for, parts_person):
    return client_for(parts_person)


def typed(**facts):
    return {"number": "N-1", "name": "Terminator", "kind": "small", "price_cents": "12.50"} | facts


def shown(response):
    return [part.number for part in response.context["page"]]


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("", ["A-1", "P-1"]),
        ("q=adapter", ["A-1"]),
        ("kind=small", ["P-1"]),
        ("short=yes", ["A-1"]),
        ("retired=yes", ["R-1"]),
        ("supplier=nobody", ["A-1", "P-1"]),
    ],
)
def test_list_is_narrowed_by_words_and_filters(client, shop, query, expected):
    StockItemFactory(part=PartFactory(shop=shop, number="P-1"), on_hand=3, reserved=2)
    StockItemFactory(part=AdapterFactory(shop=shop, number="A-1"), on_hand=2, reserved=2)
    PartFactory(shop=shop, number="R-1", retired_at="2026-01-01T00:00Z")
    PartFactory(number="ELSEWHERE")
    assert shown(client.get(f"{LIST}?{query}")) == expected


def test_list_adds_up_places(client, shop):
    part = PartFactory(shop=shop)
    StockItemFactory(part=part, on_hand=3, reserved=1)
    StockItemFactory(part=part, on_hand=4)
    row = client.get(LIST).context["page"].items[0]
    assert (row.on_hand, row.free) == (7, 6)


@pytest.mark.parametrize("rows", [1, 3])
def test_list_asks_the_same_number_of_queries(client, shop, rows, django_assert_num_queries):
    for _ in range(rows):
        part = PartFactory(shop=shop, supplier=SupplierFactory(shop=shop))
        StockItemFactory(part=part)
    client.get(LIST)
    with django_assert_num_queries(3):
        client.get(LIST)


@pytest.mark.parametrize("rows", [1, 3])
def test_page_asks_the_same_number_of_queries(client, shop, rows, django_assert_num_queries):
    part = PartFactory(shop=shop)
    for number in range(rows):
        correct_count(part=part, place=f"Shelf {number}", on_hand=2, reason="Counted")
        EquipmentModelFactory(shop=shop, lead=part)
    url = reverse("stock:part", args=[part.pk])
    client.get(url)
    with django_assert_num_queries(9):
        client.get(url)


def test_cost_is_for_the_office(client, client_for, technician, shop):
    part = PartFactory(shop=shop, cost_cents=98765)
    part.cost_cents = 98766
    part.save()
    for url in (LIST, reverse("stock:part", args=[part.pk])):
        assert "987.66" in client.get(url).content.decode()
        seen = client_for(technician).get(url).content.decode()
        assert "987.66" not in seen
        assert "9876" not in seen


def test_part_is_added_and_found(client, shop):
    supplier = SupplierFactory(shop=shop, name="Dockside")
    response = client.post(reverse("stock:part_add"), typed(supplier=supplier.pk))
    part = Part.objects.get()
    assert response.url == reverse("stock:part", args=[part.pk])
    assert (part.price_cents, part.supplier) == (1250, supplier)
    assert shown(client.get(LIST, {"q": "dockside terminator"})) == ["N-1"]


@pytest.mark.parametrize(
    ("facts", "field", "words"),
    [
        ({"price_cents": "-1"}, "price_cents", "cannot be below zero"),
        ({"price_cents": "1e9"}, "price_cents", "Write an amount"),
        ({"price_cents": "1000000000"}, "price_cents", "too large"),
        ({"kind": "fuse"}, "fuse_ma", "needs its rating"),
        ({"kind": "fuse", "fuse_ma": "999999999"}, "fuse_ma", "400 A"),
        ({"kind": "cable", "cable_ft": "-3"}, "cable_ft", "greater than or equal to 0"),
        ({"kind": "cable"}, "cable_ft", "needs its length"),
        ({"number": "taken"}, "number", "in the catalogue already"),
        ({"number": "model-x"}, "number", "code of a model"),
    ],
)
def test_part_that_cannot_be_right_is_refused(client, shop, facts, field, words):
    PartFactory(shop=shop, number="TAKEN")
    EquipmentModelFactory(shop=shop, code="model-x", sold=False)
    response = client.post(reverse("stock:part_add"), typed(**facts))
    assert response.status_code == 422
    assert words in str(response.context["form"].errors[field])
    assert Part.objects.count() == 1


def test_rating_leaves_with_the_kind(client):
    client.post(reverse("stock:part_add"), typed(fuse_ma="5000"))
    assert Part.objects.get().fuse_ma is None


def test_needed_adapter_stays_an_adapter(client, shop):
    part = AdapterFactory(shop=shop)
    EquipmentModelFactory(shop=shop, adapter=part)
    url = reverse("stock:part_edit", args=[part.pk])
    response = client.post(url, typed(number=part.number, kind="lead"))
    assert "need it as adapter lead" in str(response.context["form"].errors["kind"])


def test_supersession_never_runs_in_a_circle(client, shop):
    newest = PartFactory(shop=shop, number="C")
    middle = PartFactory(shop=shop, number="B", superseded_by=newest)
    oldest = PartFactory(shop=shop, number="A", superseded_by=middle)
    assert newest_of(oldest) == newest
    url = reverse("stock:part_edit", args=[newest.pk])
    response = client.post(url, typed(number="C", superseded_by=oldest.pk))
    assert response.status_code == 422
    assert "A is itself superseded by C" in str(response.context["form"].errors["superseded_by"])
    assert "Sold now" in client.get(reverse("stock:part", args=[oldest.pk])).content.decode()


def test_count_is_corrected_with_its_reason(client, parts_person, shop):
    item = StockItemFactory(part=PartFactory(shop=shop), place="Shelf A", on_hand=5)
    url = reverse("stock:count", args=[item.part_id])
    client.post(url, {"place": "shelf a", "on_hand": 3, "reason": "Two broken"})
    item.refresh_from_db()
    assert item.on_hand == 3
    page = client.get(reverse("stock:part", args=[item.part_id]))
    newest = page.context["counts"][0]
    expected = ("Pete Loam", 5, 3, "Two broken")
    assert (newest.who, newest.before, newest.after, newest.reason) == expected


def test_count_opens_a_new_place(client, shop):
    part = PartFactory(shop=shop)
    data = {"place": "Van 1", "on_hand": 4, "reason": "Found"}
    client.post(reverse("stock:count", args=[part.pk]), data)
    assert StockItem.objects.get(part=part).place == "Van 1"


@pytest.mark.parametrize(
    ("facts", "field", "words"),
    [
        ({"on_hand": "-1"}, "on_hand", "never holds less than none"),
        ({"on_hand": "1000000000"}, "on_hand", "cannot be right"),
        ({"on_hand": "1"}, "on_hand", "2 are reserved at Shelf A"),
        ({"on_hand": "many"}, "on_hand", "whole number"),
        ({"reason": ""}, "reason", "Fill this in"),
    ],
)
def test_count_that_cannot_be_right_is_refused(client, shop, facts, field, words):
    item = StockItemFactory(part=PartFactory(shop=shop), place="Shelf A", on_hand=5, reserved=2)
    data = {"place": "Shelf A", "on_hand": "3", "reason": "Counted"} | facts
    response = client.post(reverse("stock:count", args=[item.part_id]), data)
    assert response.status_code == 422
    assert words in str(response.context["form"].errors[field])
    item.refresh_from_db()
    assert item.on_hand == 5


def test_refused_count_leaves_no_place_behind(shop):
    part = PartFactory(shop=shop)
    StockItemFactory(part=part, place="Shelf A", on_hand=5, reserved=2)
    with pytest.raises(FactRefused):
        correct_count(part=part, place="Shelf A", on_hand=0, reason="Lost")
    assert StockItem.objects.count() == 1


def test_part_is_retired_and_brought_back(client, shop):
    part = PartFactory(shop=shop)
    url = reverse("stock:part_retire", args=[part.pk])
    client.post(url, {"retired": "yes"})
    assert shown(client.get(LIST)) == []
    client.post(url, {"retired": "no"})
    assert shown(client.get(LIST)) == [part.number]


@pytest.mark.parametrize("rows", [1, 3])
def test_suppliers_ask_the_same_number_of_queries(client, shop, rows, django_assert_num_queries):
    for _ in range(rows):
        SupplierFactory(shop=shop)
    client.get(reverse("stock:suppliers"))
    with django_assert_num_queries(3):
        client.get(reverse("stock:suppliers"))


def test_supplier_is_added_edited_and_retired(client, shop):
    data = {"name": "Dockside", "lead_days": 4, "email": "orders@dockside.example"}
    client.post(reverse("stock:supplier_add"), data)
    supplier = Supplier.objects.get()
    part = PartFactory(shop=shop, supplier=supplier)
    client.post(reverse("stock:supplier", args=[supplier.pk]), data | {"name": "Quayside"})
    assert shown(client.get(LIST, {"q": "quayside"})) == [part.number]
    client.post(reverse("stock:supplier_retire", args=[supplier.pk]), {"retired": "yes"})
    assert not list(client.get(reverse("stock:suppliers")).context["page"])


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"name": "dockside"}, "name"),
        ({"lead_days": "-1"}, "lead_days"),
        ({"lead_days": "1000"}, "lead_days"),
        ({"email": "nobody"}, "email"),
    ],
)
def test_supplier_that_cannot_be_right_is_refused(client, shop, facts, field):
    SupplierFactory(shop=shop, name="Dockside")
    data = {"name": "Other", "lead_days": "4"} | facts
    response = client.post(reverse("stock:supplier_add"), data)
    assert response.status_code == 422
    assert field in response.context["form"].errors


def test_technician_sees_but_does_not_edit(client_for, technician, shop):
    part = PartFactory(shop=shop)
    client = client_for(technician)
    assert client.get(reverse("stock:part", args=[part.pk])).status_code == 200
    assert client.get(reverse("stock:part_edit", args=[part.pk])).status_code == 403
    assert client.post(reverse("stock:count", args=[part.pk])).status_code == 403
    assert client.get(reverse("stock:supplier_add")).status_code == 403


def test_stranger_finds_nothing(client_for, stranger, shop):
    part = PartFactory(shop=shop)
    supplier = SupplierFactory(shop=shop)
    client = client_for(stranger)
    assert client.get(reverse("stock:part", args=[part.pk])).status_code == 404
    assert client.get(reverse("stock:part_edit", args=[part.pk])).status_code == 404
    assert client.post(reverse("stock:count", args=[part.pk])).status_code == 404
    assert client.get(reverse("stock:supplier", args=[supplier.pk])).status_code == 404
