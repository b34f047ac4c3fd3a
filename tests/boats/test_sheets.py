"""Survey sheets: what cannot be right stands beside its cell, and nothing is half written."""

from collections.abc import Callable

import pytest
from django.test import Client

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat, Evidence, Location, Route, Unit
from tests.boats.aboard import seen, sheet
from tests.factories.boats import (
    BankFactory,
    BoatFactory,
    CableFactory,
    LocationFactory,
    RouteFactory,
    UnitFactory,
)
from tests.factories.catalog import EquipmentModelFactory, SwitchFactory


@pytest.fixture
def boat(shop: Shop) -> Boat:
    return BoatFactory(shop=shop)


@pytest.fixture
def desk(technician: User, client_for: Callable[[User], Client]) -> Client:
    return client_for(technician)


def send(desk: Client, boat: Boat, section: str, *parts: dict[str, str], **bar: str) -> object:
    data = {**seen(boat, **bar)}
    for part in parts:
        data |= part
    return desk.post(f"/boats/{boat.pk}/survey/{section}/", data)


def text_of(answer: object) -> str:
    return answer.content.decode()


def test_locations_and_a_route_between_them_go_in_with_one_save(desk: Client, boat: Boat) -> None:
    places = sheet("places", [{"name": "console", "switch_place": "on"}, {"name": "bow"}])
    routes = sheet("routes", [{"a": "Console", "b": "bow", "feet": 16, "sureness": "medium"}])
    assert send(desk, boat, "places", places, routes).status_code == 302
    route = Route.objects.get()
    assert (route.a.name, route.b.name, route.feet) == ("console", "bow", 16)
    row = Evidence.objects.get(route=route)
    assert (row.fact, row.value, row.how, row.by.username) == ("feet", "16", "seen", "theo")


@pytest.mark.parametrize(
    ("ends", "words"),
    [
        (("console", "nowhere"), "There is no location “nowhere”"),
        (("console", "console"), "joins two different locations"),
        (("bow", "console"), "This route stands above already"),
    ],
)
def test_a_route_to_nowhere_to_itself_or_twice_is_refused(
    desk: Client, boat: Boat, ends: tuple[str, str], words: str
) -> None:
    places = sheet("places", [{"name": "console"}, {"name": "bow"}])
    good = {"a": "console", "b": "bow", "feet": 16, "sureness": "medium"}
    routes = sheet("routes", [good, {**good, "a": ends[0], "b": ends[1]}])
    answer = send(desk, boat, "places", places, routes)
    assert answer.status_code == 422
    assert words in text_of(answer)
    assert (Location.objects.count(), Route.objects.count()) == (0, 0)


@pytest.mark.parametrize("feet", ["0", "-4", "long"])
def test_a_route_needs_a_length_above_zero_and_keeps_what_was_typed(
    desk: Client, boat: Boat, feet: str
) -> None:
    places = sheet("places", [{"name": "console"}, {"name": "bow"}])
    routes = sheet("routes", [{"a": "console", "b": "bow", "feet": feet, "sureness": "low"}])
    answer = send(desk, boat, "places", places, routes)
    assert answer.status_code == 422
    assert f'value="{feet}"' in text_of(answer)
    assert Location.objects.count() == 0


def test_a_location_in_use_cannot_be_struck(desk: Client, boat: Boat) -> None:
    unit = UnitFactory(boat=boat, name="d1")
    row = {"pk": unit.location_id, "name": unit.location.name, "switch_place": "on"}
    answer = send(
        desk, boat, "places",
        sheet("places", [{**row, "DELETE": "on"}], initial=1), sheet("routes", []),
    )  # fmt: skip
    assert answer.status_code == 422
    assert "Still in use: unit d1" in text_of(answer)
    assert Location.objects.count() == 1


def test_two_locations_swap_their_names_in_one_save(desk: Client, boat: Boat) -> None:
    a, b = (LocationFactory(boat=boat, name=name) for name in ("helm", "dash"))
    rows = [
        {"pk": a.pk, "name": "dash", "switch_place": "on"},
        {"pk": b.pk, "name": "helm", "switch_place": "on"},
    ]
    answer = send(desk, boat, "places", sheet("places", rows, initial=2), sheet("routes", []))
    assert answer.status_code == 302
    a.refresh_from_db()
    assert a.name == "dash"


def test_a_route_led_elsewhere_is_another_route_with_its_own_evidence(
    desk: Client, boat: Boat
) -> None:
    route = RouteFactory(boat=boat)
    mast = LocationFactory(boat=boat, name="mast")
    places = [
        {"pk": place.pk, "name": place.name, "switch_place": "on"}
        for place in (route.a, route.b, mast)
    ]
    row = {"pk": route.pk, "a": route.a.name, "b": "mast", "feet": 14, "sureness": "medium"}
    answer = send(
        desk, boat, "places", sheet("places", places, initial=3), sheet("routes", [row], initial=1)
    )
    assert answer.status_code == 302
    assert Route.objects.get().b == mast
    assert Evidence.objects.filter(route=Route.objects.get(), fact="feet").exists()


def unit_row(unit_model: object, place: Location, **facts: object) -> dict:
    return {"model": unit_model.pk, "location": place.pk, **facts}


def test_units_get_short_names_and_the_evidence_of_the_bar(
    desk: Client, boat: Boat, shop: Shop
) -> None:
    place = LocationFactory(boat=boat)
    display = EquipmentModelFactory(shop=shop, releases=["1.0", "2.0"])
    rows = [
        unit_row(display, place, release="2.0", networked="yes", fuse_ma="2.5", serial="S1"),
        unit_row(display, place),
        unit_row(SwitchFactory(shop=shop), place),
    ]
    answer = send(desk, boat, "units", sheet("units", rows), how="photo")
    assert answer.status_code == 302, text_of(answer)
    first, second, third = boat.units.order_by("pk")
    assert [first.name, second.name, third.name] == ["d1", "d2", "sw1"]
    assert (first.release.name, first.fuse_ma, first.networked) == ("2.0", 2500, True)
    assert (second.release, second.networked) == (None, None)
    facts = set(Evidence.objects.filter(unit=first, how="photo").values_list("fact", flat=True))
    assert facts == {"model", "location", "release", "networked", "fuse_ma", "serial"}
    assert set(second.evidence.values_list("fact", flat=True)) == {"model", "location"}


def test_a_release_that_the_model_never_had_is_named_beside_its_cell(
    desk: Client, boat: Boat, shop: Shop
) -> None:
    model = EquipmentModelFactory(shop=shop, name="Bench Nine", releases=["1.0", "2.0"])
    row = unit_row(model, LocationFactory(boat=boat), release="7.7", serial="KEEPME")
    answer = send(desk, boat, "units", sheet("units", [row]))
    assert answer.status_code == 422
    assert "Bench Nine never had release 7.7. It had 1.0, 2.0." in text_of(answer)
    assert 'value="KEEPME"' in text_of(answer)
    assert Unit.objects.count() == 0


def test_a_location_of_another_boat_is_refused(desk: Client, boat: Boat, shop: Shop) -> None:
    row = unit_row(EquipmentModelFactory(shop=shop), LocationFactory(boat__shop=shop))
    answer = send(desk, boat, "units", sheet("units", [row]))
    assert answer.status_code == 422
    assert "Choose a location of this boat" in text_of(answer)


def test_a_row_of_another_boat_is_not_touched(desk: Client, boat: Boat, shop: Shop) -> None:
    other = UnitFactory(boat__shop=shop, name="theirs")
    row = unit_row(other.model, LocationFactory(boat=boat), pk=other.pk, name="mine")
    answer = send(desk, boat, "units", sheet("units", [row], initial=1))
    assert answer.status_code == 422
    other.refresh_from_db()
    assert other.name == "theirs"


def test_a_struck_unit_is_kept_on_record_and_frees_its_ports(desk: Client, boat: Boat) -> None:
    unit = UnitFactory(boat=boat, name="d1")
    cable = CableFactory(boat=boat, ends=[(unit, 1)])
    row = {"pk": unit.pk, "name": "d1", "model": unit.model_id, "DELETE": "on"}
    assert send(desk, boat, "units", sheet("units", [row], initial=1)).status_code == 302
    unit.refresh_from_db()
    assert unit.state == "removed"
    assert cable.ends.get().port is None


def test_weaker_evidence_does_not_overwrite_and_the_page_says_so(
    desk: Client, boat: Boat, shop: Shop
) -> None:
    model = EquipmentModelFactory(shop=shop, releases=["1.0", "2.0"])
    place = LocationFactory(boat=boat)
    send(desk, boat, "units", sheet("units", [unit_row(model, place, release="1.0")]), how="bus")
    unit = boat.units.get()
    row = unit_row(model, place, pk=unit.pk, name="d1", release="2.0", adapters=0)
    answer = send(desk, boat, "units", sheet("units", [row], initial=1), how="customer")
    assert "not taken over" in text_of(desk.get(answer.url))
    unit.refresh_from_db()
    assert unit.release.name == "1.0"
    assert "newer but weaker says" in text_of(desk.get(f"/boats/{boat.pk}/"))


def test_a_page_grown_stale_is_kept_and_shows_what_is_on_record(
    desk: Client, boat: Boat, shop: Shop
) -> None:
    unit = UnitFactory(boat=boat, name="d1", cutoff="helm switch")
    row = unit_row(unit.model, unit.location, pk=unit.pk, name="d1", networked="yes", cutoff="")
    data = {**seen(boat), **sheet("units", [row], initial=1), "seen-stamp": "2020-01-01"}
    answer = desk.post(f"/boats/{boat.pk}/survey/units/", data)
    assert answer.status_code == 409
    assert "Somebody changed this boat&#x27;s facts" in text_of(answer)
    assert "On record now: helm switch." in text_of(answer)
    unit.refresh_from_db()
    assert unit.cutoff == "helm switch"


def test_a_bank_that_feeds_a_unit_cannot_be_struck(desk: Client, boat: Boat) -> None:
    bank = BankFactory(boat=boat, name="House")
    UnitFactory(boat=boat, name="d1", bank=bank)
    row = {"pk": bank.pk, "name": "House", "use": "house", "volts": 12, "DELETE": "on"}
    answer = send(desk, boat, "banks", sheet("banks", [row], initial=1))
    assert answer.status_code == 422
    assert "Still feeds d1" in text_of(answer)


def test_a_bank_goes_in_with_volts_as_read(desk: Client, boat: Boat) -> None:
    row = {
        "name": "House",
        "use": "house",
        "volts": 12,
        "rested_mv": "12.65",
        "rested_on": "2026-05-01",
    }
    assert send(desk, boat, "banks", sheet("banks", [row])).status_code == 302
    bank = boat.banks.get()
    assert (bank.rested_mv, bank.chemistry) == (12650, "")
