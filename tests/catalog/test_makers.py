"""Makers, families and the labour table."""

import pytest
from django.urls import reverse

from shopapp.catalog.models import Family, LabourTask, Maker
from tests.factories.catalog import (
    EquipmentModelFactory,
    FamilyFactory,
    LabourTaskFactory,
    MakerFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(client_for, manager):
    return client_for(manager)


@pytest.mark.parametrize("rows", [1, 3])
@pytest.mark.parametrize(("name", "count"), [("makers", 4), ("labour", 3)])
def test_lists_ask_the_same_number_of_queries(
    client, shop, rows, name, count, django_assert_num_queries
):
    for _ in range(rows):
        FamilyFactory(maker__shop=shop)
        LabourTaskFactory(shop=shop)
    client.get(reverse(f"catalog:{name}"))
    with django_assert_num_queries(count):
        client.get(reverse(f"catalog:{name}"))


def test_maker_and_family_are_added(client):
    client.post(reverse("catalog:maker_add"), {"name": "Corvane Works"})
    maker = Maker.objects.get()
    response = client.post(reverse("catalog:family_add", args=[maker.pk]), {"name": "Halo"})
    assert response.url == reverse("catalog:maker", args=[maker.pk])
    assert str(Family.objects.get()) == "Corvane Works Halo"
    assert b"Halo" in client.get(response.url).content


def test_a_name_stands_once_whatever_its_capitals(client, shop):
    family = FamilyFactory(maker=MakerFactory(shop=shop, name="Corvane"), name="Halo")
    response = client.post(reverse("catalog:maker_add"), {"name": "CORVANE"})
    assert response.status_code == 422
    assert "already" in str(response.context["form"].errors["name"])
    url = reverse("catalog:family_add", args=[family.maker_id])
    assert "already" in str(client.post(url, {"name": "halo"}).context["form"].errors["name"])


def test_renamed_maker_is_found_under_its_new_name(client, shop):
    model = EquipmentModelFactory(shop=shop)
    url = reverse("catalog:maker_edit", args=[model.family.maker_id])
    client.post(url, {"name": "Newname"})
    found = client.get(reverse("catalog:models"), {"q": "newname"})
    assert list(found.context["page"]) == [model]


def test_renamed_family_is_found_under_its_new_name(client, shop):
    model = EquipmentModelFactory(shop=shop)
    client.post(reverse("catalog:family_edit", args=[model.family_id]), {"name": "Newline"})
    model.refresh_from_db()
    assert "newline" in model.search


def test_maker_and_family_are_retired_and_brought_back(client, shop):
    family = FamilyFactory(maker__shop=shop)
    client.post(reverse("catalog:family_retire", args=[family.pk]), {"retired": "yes"})
    client.post(reverse("catalog:maker_retire", args=[family.maker_id]), {"retired": "yes"})
    assert not list(client.get(reverse("catalog:makers")).context["page"])
    assert list(client.get(reverse("catalog:makers"), {"retired": "yes"}).context["page"])
    client.post(reverse("catalog:maker_retire", args=[family.maker_id]), {"retired": "no"})
    assert list(client.get(reverse("catalog:makers")).context["page"]) == [family.maker]


def task(**facts):
    return {
        "code": "T01", "name": "Check-in", "low_minutes": 10, "typical_minutes": 20,
        "high_minutes": 30,
    } | facts  # fmt: skip


def test_labour_row_is_added_and_edited(client):
    client.post(reverse("catalog:labour_add"), task())
    row = LabourTask.objects.get()
    client.post(reverse("catalog:labour_edit", args=[row.pk]), task(typical_minutes=25))
    row.refresh_from_db()
    assert row.typical_minutes == 25


@pytest.mark.parametrize(
    ("facts", "field", "words"),
    [
        ({"typical_minutes": 5}, "typical_minutes", "less than low (10)"),
        ({"high_minutes": 15}, "high_minutes", "less than typical (20)"),
        ({"low_minutes": -1}, "low_minutes", "greater than or equal to 0"),
        ({"high_minutes": 10**9}, "high_minutes", "6000 is the most"),
        ({"code": "t02"}, "code", "has this code"),
    ],
)
def test_labour_that_cannot_be_right_is_refused(client, shop, facts, field, words):
    LabourTaskFactory(shop=shop, code="T02")
    response = client.post(reverse("catalog:labour_add"), task(**facts))
    assert response.status_code == 422
    assert words in str(response.context["form"].errors[field])


def test_labour_row_is_retired(client, shop):
    row = LabourTaskFactory(shop=shop)
    client.post(reverse("catalog:labour_retire", args=[row.pk]), {"retired": "yes"})
    assert not list(client.get(reverse("catalog:labour")).context["page"])


@pytest.mark.parametrize("name", ["maker_edit", "family_add", "maker_retire"])
def test_others_are_kept_out_of_a_maker(client_for, technician, stranger, shop, name):
    url = reverse(f"catalog:{name}", args=[MakerFactory(shop=shop).pk])
    assert client_for(technician).post(url).status_code == 403
    assert client_for(stranger).post(url).status_code == 404


def test_others_are_kept_out_of_families_and_labour(client_for, technician, stranger, shop):
    urls = [
        reverse("catalog:family_edit", args=[FamilyFactory(maker__shop=shop).pk]),
        reverse("catalog:labour_edit", args=[LabourTaskFactory(shop=shop).pk]),
    ]
    for url in urls:
        assert client_for(technician).get(url).status_code == 403
        assert client_for(stranger).get(url).status_code == 404
