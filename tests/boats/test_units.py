"""Units: found by serial, edited with evidence, kept on record when they leave."""

from collections.abc import Callable

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat, Unit
from tests.boats.aboard import note, seen
from tests.factories.boats import BoatFactory, UnitFactory
from tests.factories.catalog import EquipmentModelFactory

Open = Callable[[User], Client]


@pytest.fixture
def boat(shop: Shop) -> Boat:
    return BoatFactory(shop=shop)


@pytest.fixture
def desk(writer: User, client_for: Open) -> Client:
    return client_for(writer)


def text_of(answer: object) -> str:
    return answer.content.decode()


def count_queries(client: Client, path: str, run: DjangoAssertNumQueries, limit: int) -> int:
    client.get(path)
    with run(limit) as asked:
        assert client.get(path).status_code == 200
    return len(asked)


def test_a_unit_is_found_by_the_beginning_of_its_serial(
    desk: Client, boat: Boat, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    UnitFactory(boat=boat, serial="LN9-00412")
    UnitFactory(serial="LN9-99999")
    text = text_of(desk.get("/boats/units/", {"q": "ln9-"}))
    assert "LN9-00412" in text
    assert "LN9-99999" not in text
    one = count_queries(desk, "/boats/units/?q=LN", django_assert_max_num_queries, 15)
    UnitFactory(boat=boat, serial="LN1")
    UnitFactory(boat=boat, serial="LN2")
    assert count_queries(desk, "/boats/units/?q=LN", django_assert_max_num_queries, 15) == one


def test_a_stolen_unit_stays_on_record(desk: Client, boat: Boat) -> None:
    unit = UnitFactory(boat=boat)
    answer = desk.post(f"/boats/units/{unit.pk}/state/", {**seen(boat), "state": "stolen"})
    assert answer.status_code == 302
    unit.refresh_from_db()
    assert unit.state == "stolen"
    assert "stolen" in text_of(desk.get(f"/boats/{boat.pk}/history/"))


def test_one_unit_is_edited_with_its_evidence(desk: Client, boat: Boat, shop: Shop) -> None:
    model = EquipmentModelFactory(shop=shop, releases=["1.0"])
    unit = UnitFactory(boat=boat, model=model, name="d1")
    values = {
        "pk": unit.pk, "name": "d1", "model": model.pk, "location": unit.location_id,
        "release": "1.0", "networked": "no", "adapters": 0, "fuse_ma": "3", "wire": "16 AWG, 6 ft",
    }  # fmt: skip
    answer = desk.post(f"/boats/units/{unit.pk}/edit/", {**seen(boat, how="bus"), **values})
    assert answer.status_code == 302, text_of(answer)
    unit.refresh_from_db()
    assert (unit.release.name, unit.networked, unit.fuse_ma) == ("1.0", False, 3000)
    facts = set(unit.evidence.values_list("fact", flat=True))
    assert facts == {"release", "networked", "fuse_ma", "wire"}


def test_a_unit_entered_by_mistake_is_deleted_with_its_evidence(desk: Client, boat: Boat) -> None:
    unit = UnitFactory(boat=boat)
    note(unit, "serial", "S")
    assert desk.post(f"/boats/units/{unit.pk}/delete/").status_code == 302
    assert not Unit.objects.exists()
