"""Models: lists, pages, sheets, guards."""

from itertools import pairwise

import pytest
from django.urls import reverse

from shopapp.catalog.models import EquipmentModel, Kind
from tests.factories.catalog import (
    EquipmentModelFactory,
    EquipmentPartFactory,
)
from tests.factories.planner import StatementFactory

pytestmark = pytest.mark.django_db
LIST = reverse("catalog:models")


@pytest.fixture
def client(client_for, manager):
    return client_for(manager)


def test_list_shows_models_of_the_shop_only(client, shop):
    EquipmentModelFactory(shop=shop, name="Ours")
    EquipmentModelFactory(name="Theirs")
    page = client.get(LIST).content.decode()
    assert "Ours" in page
    assert "Theirs" not in page


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("q=halo", ["Halo"]),
        ("q=ha+display", ["Halo"]),
        ("kind=radar", ["Rotor"]),
        ("lifecycle=ended", ["Rotor"]),
        ("retired=yes", ["Gone"]),
        ("kind=nonsense", ["Halo", "Rotor"]),
        ("maker=x", ["Halo", "Rotor"]),
    ],
)
def test_list_is_narrowed_by_words_and_filters(client, shop, query, expected):
    EquipmentModelFactory(shop=shop, name="Halo")
    EquipmentModelFactory(shop=shop, name="Rotor", kind=Kind.RADAR, lifecycle="ended")
    EquipmentModelFactory(shop=shop, name="Gone", retired_at="2026-01-01T00:00Z")
    response = client.get(f"{LIST}?{query}")
    assert sorted(m.name for m in response.context["page"]) == expected


def test_list_is_narrowed_by_maker(client, shop):
    wanted = EquipmentModelFactory(shop=shop)
    EquipmentModelFactory(shop=shop)
    response = client.get(LIST, {"maker": wanted.family.maker_id})
    assert list(response.context["page"]) == [wanted]


@pytest.mark.parametrize("rows", [1, 3])
def test_list_asks_the_same_number_of_queries(client, shop, rows, django_assert_num_queries):
    for _ in range(rows):
        EquipmentModelFactory(shop=shop, releases=["1.0", "2.0"])
    client.get(LIST)
    with django_assert_num_queries(5):
        client.get(LIST)


@pytest.mark.parametrize("rows", [1, 3])
def test_page_asks_the_same_number_of_queries(client, shop, rows, django_assert_num_queries):
    names = [f"{n}.0" for n in range(1, rows + 2)]
    steps = [(a, b, 10) for a, b in pairwise(names)]
    model = EquipmentModelFactory(shop=shop, releases=names, updates=steps)
    for _ in range(rows):
        model.successors.add(EquipmentModelFactory(shop=shop))
        StatementFactory(shop=shop, search=f" x model:{model.code} ")
    url = reverse("catalog:model", args=[model.pk])
    client.get(url)
    with django_assert_num_queries(13):
        client.get(url)


def test_page_shows_hops_withdrawn_releases_and_what_is_said(client, shop):
    model = EquipmentModelFactory(
        shop=shop, releases=["1.0", "2.0"], updates=[("1.0", "2.0", 25)], releases__ships="1.0"
    )
    model.releases.filter(name="2.0").update(withdrawn=True, no_return=True)
    StatementFactory(shop=shop, code="S-77", search=f" x model:{model.code} ")
    StatementFactory(shop=shop, code="S-78", search=" x kind:display ")
    StatementFactory(shop=shop, code="S-79", search=" x kind:radar ")
    page = client.get(reverse("catalog:model", args=[model.pk])).content.decode()
    assert "Withdrawn: never a target" in page
    assert "No way back" in page
    assert "S-77" in page
    assert "S-78" in page
    assert "S-79" not in page


def test_page_says_when_nothing_is_known(client, shop):
    model = EquipmentModelFactory(shop=shop)
    page = client.get(reverse("catalog:model", args=[model.pk])).content.decode()
    assert "What works with it is not known" in page


def test_cost_is_hidden_from_technicians(client_for, technician, writer, shop):
    part = EquipmentPartFactory(shop=shop, cost_cents=98765)
    model = EquipmentModelFactory(shop=shop, part=part)
    url = reverse("catalog:model", args=[model.pk])
    assert "987.65" not in client_for(technician).get(url).content.decode()
    assert "987.65" in client_for(writer).get(url).content.decode()


def test_unused_model_is_deleted(client, shop):
    model = EquipmentModelFactory(shop=shop, releases=["1.0"])
    client.post(reverse("catalog:model_delete", args=[model.pk]))
    assert not EquipmentModel.objects.exists()


def test_model_in_use_is_not_deleted_but_offered_for_retirement(client, shop):
    model = EquipmentModelFactory(shop=shop)
    StatementFactory(shop=shop, search=f" x model:{model.code} ")
    response = client.post(reverse("catalog:model_delete", args=[model.pk]))
    page = response.content.decode()
    assert response.status_code == 409
    assert "1 statement names it" in page
    assert f"Retire {model.name}" in page
    assert EquipmentModel.objects.filter(pk=model.pk).exists()


def test_model_is_retired_and_brought_back(client, shop):
    model = EquipmentModelFactory(shop=shop)
    url = reverse("catalog:model_retire", args=[model.pk])
    client.post(url, {"retired": "yes"})
    model.refresh_from_db()
    assert model.retired_at is not None
    client.post(url, {"retired": "no"})
    model.refresh_from_db()
    assert model.retired_at is None


def test_technician_sees_but_does_not_edit(client_for, technician, shop):
    model = EquipmentModelFactory(shop=shop)
    client = client_for(technician)
    assert client.get(LIST).status_code == 200
    assert client.get(reverse("catalog:model", args=[model.pk])).status_code == 200
    for name in ("model_edit", "model_retire", "model_delete"):
        assert client.post(reverse(f"catalog:{name}", args=[model.pk])).status_code == 403
    assert client.get(reverse("catalog:model_add")).status_code == 403


def test_stranger_finds_nothing(client_for, stranger, shop):
    model = EquipmentModelFactory(shop=shop)
    client = client_for(stranger)
    for name in ("model", "model_edit"):
        assert client.get(reverse(f"catalog:{name}", args=[model.pk])).status_code == 404
    for name in ("model_retire", "model_delete"):
        assert client.post(reverse(f"catalog:{name}", args=[model.pk])).status_code == 404
    like = client.get(f"{reverse('catalog:model_add')}?like={model.pk}")
    assert like.status_code == 404
