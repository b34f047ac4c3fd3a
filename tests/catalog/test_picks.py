"""What type-ahead fields offer from the catalogue."""

import pytest

from shopapp.ui.pick import pick_of
from tests.factories.catalog import (
    AdapterFactory,
    CablePartFactory,
    EquipmentModelFactory,
    FamilyFactory,
    LabourTaskFactory,
    LeadFactory,
    PartFactory,
    SupplierFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def request_of(rf, manager):
    request = rf.get("/")
    request.user = manager
    return request


def labels(kind, request, text=""):
    return [label for _, label, _ in pick_of(kind).options(request, text)]


def test_models_are_offered_with_maker_and_kind(request_of, shop):
    model = EquipmentModelFactory(shop=shop, name="Halo 9")
    EquipmentModelFactory(name="Elsewhere")
    EquipmentModelFactory(shop=shop, retired_at="2026-01-01T00:00Z")
    hint = f"{model.family.maker} · Display"
    assert pick_of("models").options(request_of, "halo") == [(model.pk, "Halo 9", hint)]
    assert labels("models", request_of) == ["Halo 9"]


def test_parts_are_offered_by_kind(request_of, shop):
    PartFactory(shop=shop, number="P-1")
    AdapterFactory(shop=shop, number="A-1")
    LeadFactory(shop=shop, number="L-1")
    CablePartFactory(shop=shop, number="C-1")
    assert labels("parts", request_of) == ["A-1", "C-1", "L-1", "P-1"]
    assert labels("adapters", request_of) == ["A-1"]
    assert labels("leads", request_of) == ["L-1"]
    assert labels("cables", request_of) == ["C-1"]


def test_releases_are_found_by_model_and_name(request_of, shop):
    EquipmentModelFactory(shop=shop, name="Halo", releases=["1.0", "2.0"])
    EquipmentModelFactory(shop=shop, name="Rotor", releases=["2.0"])
    assert pick_of("releases").options(request_of, "halo 2")[0][1:] == ("2.0", "Halo")
    assert labels("releases", request_of, "rotor") == ["2.0"]


def test_suppliers_families_and_labour_are_offered(request_of, shop):
    SupplierFactory(shop=shop, name="Dockside")
    FamilyFactory(maker__shop=shop, maker__name="Corvane", name="Halo")
    LabourTaskFactory(shop=shop, code="T01", name="Check-in")
    assert labels("suppliers", request_of, "dock") == ["Dockside"]
    assert labels("families", request_of, "corv halo") == ["Corvane Halo"]
    assert labels("labour", request_of, "t01") == ["T01 Check-in"]
    assert labels("makers", request_of, "corv") == ["Corvane"]


def test_a_value_of_another_shop_is_nothing(request_of):
    other = EquipmentModelFactory()
    pick = pick_of("models")
    assert pick.label_of(request_of, str(other.pk)) == ""
    assert pick.row_of(request_of, str(other.pk)) is None
    assert pick.row_of(request_of, "x" * 30) is None
