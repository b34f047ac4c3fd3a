"""Pages of boats: who sees them, how much they ask of the database, what they say."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat, Evidence, Ownership, Unit
from shopapp.boats.services.evidence import record_fact
from tests.boats.aboard import note, twelve_units
from tests.factories.boats import (
    BoatFactory,
    EvidenceFactory,
    LocationFactory,
    OwnershipFactory,
    PhotoFactory,
    UnitFactory,
)
from tests.factories.catalog import EquipmentModelFactory
from tests.factories.customers import CustomerFactory

Open = Callable[[User], Client]


@pytest.fixture
def boat(shop: Shop) -> Boat:
    return BoatFactory(shop=shop, name="Quiet Tern", marina="North Basin", berth="C14")


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


def test_the_list_asks_as_much_for_three_boats_as_for_one(
    desk: Client, boat: Boat, shop: Shop, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    one = count_queries(desk, "/boats/", django_assert_max_num_queries, 15)
    BoatFactory(shop=shop)
    BoatFactory(shop=shop)
    assert count_queries(desk, "/boats/", django_assert_max_num_queries, 15) == one


def test_the_sheet_of_twelve_units_asks_at_most_fifteen_times(
    desk: Client, shop: Shop, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    boat = twelve_units(shop)
    count_queries(desk, f"/boats/{boat.pk}/", django_assert_max_num_queries, 15)


@pytest.mark.parametrize("section", ["places", "banks", "units", "cables", "backbone"])
def test_a_survey_section_of_twelve_units_asks_at_most_fifteen_times(
    desk: Client,
    shop: Shop,
    section: str,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    boat = twelve_units(shop)
    count_queries(desk, f"/boats/{boat.pk}/survey/{section}/", django_assert_max_num_queries, 15)


@pytest.mark.parametrize("page", ["history", "work", "photos"])
def test_the_other_tabs_ask_at_most_fifteen_times(
    desk: Client, shop: Shop, page: str, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    boat = twelve_units(shop)
    count_queries(desk, f"/boats/{boat.pk}/{page}/", django_assert_max_num_queries, 15)


@pytest.mark.parametrize(
    "words", ["quiet", "c14", "north tern", "xqz12345a626", "calloway", "5550101"]
)
def test_a_boat_is_found_by_its_words(desk: Client, shop: Shop, words: str) -> None:
    owner = CustomerFactory(shop=shop, name="Ines Calloway", search="ines calloway 5550101")
    BoatFactory(
        shop=shop, customer=owner, name="Quiet Tern", marina="North Basin", berth="C14",
        hull_number_read="XQZ 12345 A626",
    )  # fmt: skip
    BoatFactory(shop=shop, name="Other")
    answer = desk.get("/boats/", {"q": words})
    assert "Quiet Tern" in text_of(answer)
    assert "Other" not in text_of(answer)


def test_the_list_is_filtered_by_kind_and_marina(desk: Client, boat: Boat, shop: Shop) -> None:
    BoatFactory(shop=shop, name="Sailor", kind="sail")
    assert "Quiet Tern" not in text_of(desk.get("/boats/", {"kind": "sail"}))
    assert "Sailor" not in text_of(desk.get("/boats/", {"marina": "north"}))


SEEN_BY_ALL = ["", "photos/", "work/", "history/"]
FOR_EDITORS = ["edit/", "survey/", "survey/units/", "sell/"]


@pytest.mark.parametrize("page", [*SEEN_BY_ALL, *FOR_EDITORS, "delete/"])
def test_a_stranger_finds_no_boat(stranger: User, client_for: Open, boat: Boat, page: str) -> None:
    assert client_for(stranger).get(f"/boats/{boat.pk}/{page}").status_code == 404


@pytest.mark.parametrize("page", FOR_EDITORS)
def test_the_parts_counter_sees_and_does_not_edit(
    parts_person: User, client_for: Open, boat: Boat, page: str
) -> None:
    client = client_for(parts_person)
    assert client.get(f"/boats/{boat.pk}/{page}").status_code == 403
    for seen_page in SEEN_BY_ALL:
        assert client.get(f"/boats/{boat.pk}/{seen_page}").status_code == 200


def test_a_technician_does_not_retire_or_delete_boats(
    technician: User, client_for: Open, boat: Boat
) -> None:
    client = client_for(technician)
    assert client.post(f"/boats/{boat.pk}/retire/").status_code == 403
    assert client.post(f"/boats/{boat.pk}/delete/").status_code == 403


def test_strangers_reach_no_unit_evidence_or_photo(
    stranger: User, client_for: Open, boat: Boat
) -> None:
    client = client_for(stranger)
    unit = UnitFactory(boat=boat)
    row = EvidenceFactory(boat=boat, standing="disputed")
    photo = PhotoFactory(boat=boat)
    assert client.get(f"/boats/units/{unit.pk}/").status_code == 404
    assert client.post(f"/boats/units/{unit.pk}/state/", {}).status_code == 404
    assert client.post(f"/boats/evidence/{row.pk}/settle/", {"keep": "yes"}).status_code == 404
    assert client.get(f"/boats/photos/{photo.pk}/").status_code == 404
    assert client.get("/boats/releases/", {"model": unit.model_id}).status_code == 404


def test_an_empty_boat_says_how_to_begin_and_that_blank_is_not_none(
    desk: Client, boat: Boat
) -> None:
    text = text_of(desk.get(f"/boats/{boat.pk}/"))
    assert "Begin the survey" in text
    assert "That does not say that there is none." in text


def test_old_evidence_is_marked_soft_and_missing_evidence_said(desk: Client, shop: Shop) -> None:
    boat = twelve_units(shop)
    note(boat.units.get(name="d1"), "release", "2.0", how="bus", days=120)
    text = text_of(desk.get(f"/boats/{boat.pk}/"))
    assert "old: look again" in text
    assert "no source noted" in text


@pytest.mark.parametrize(
    ("fuel", "words"),
    [("", "Fuel is not recorded"), ("gasoline_inboard", "Gasoline aboard"), ("diesel", "")],
)
def test_the_caution_for_vapour_is_shown_where_fuel_is_gasoline_or_not_known(
    desk: Client, shop: Shop, fuel: str, words: str
) -> None:
    text = text_of(desk.get(f"/boats/{BoatFactory(shop=shop, fuel=fuel).pk}/"))
    assert words in text
    assert ('class="caution"' in text) is bool(words)


BOAT = {
    "name": "Heron",
    "kind": "open",
    "length_ft": "22",
    "seen-how": "seen",
    "seen-sureness": "high",
}


def test_a_boat_is_added_with_evidence_for_what_was_given(
    desk: Client, shop: Shop, writer: User
) -> None:
    owner = CustomerFactory(shop=shop)
    answer = desk.post("/boats/add/", {**BOAT, "customer": owner.pk, "fuel": "diesel"})
    boat = Boat.objects.get(name="Heron")
    assert answer.url == f"/boats/{boat.pk}/survey/places/"
    assert Ownership.objects.get(boat=boat).customer == owner
    facts = set(Evidence.objects.filter(boat=boat, by=writer).values_list("fact", "value"))
    assert facts == {("length_ft", "22"), ("fuel", "diesel")}


@pytest.mark.parametrize("length", ["-22", "0", "", "long"])
def test_a_length_that_cannot_be_is_refused_and_nothing_typed_is_lost(
    desk: Client, shop: Shop, length: str
) -> None:
    owner = CustomerFactory(shop=shop)
    answer = desk.post("/boats/add/", {**BOAT, "customer": owner.pk, "length_ft": length})
    assert answer.status_code == 422
    assert 'value="Heron"' in text_of(answer)
    assert Boat.objects.count() == 0


def test_an_odd_hull_number_is_kept_and_warned_of(desk: Client, shop: Shop) -> None:
    owner = CustomerFactory(shop=shop)
    desk.post("/boats/add/", {**BOAT, "customer": owner.pk, "hull_number_read": "xqz 12i45 a626"})
    boat = Boat.objects.get()
    assert boat.hull_number == "XQZ12I45A626"
    assert "never has I" in text_of(desk.get(f"/boats/{boat.pk}/edit/"))


def test_a_hull_number_on_two_boats_is_warned_of_beside_the_field(desk: Client, shop: Shop) -> None:
    BoatFactory(shop=shop, name="First", hull_number_read="XQZ12345A626")
    BoatFactory(name="Elsewhere", hull_number_read="XQZ12345A626")
    text = text_of(desk.get("/boats/hull-number/", {"hull_number_read": "xqz12345 a626"}))
    assert "The same hull number is on record" in text
    assert "First" in text
    assert "Elsewhere" not in text


def test_a_boat_like_another_copies_all_but_serials_as_assumed(
    desk: Client, shop: Shop, writer: User
) -> None:
    like = twelve_units(shop)
    like.units.filter(name="d1").update(serial="S-1")
    owner = CustomerFactory(shop=shop)
    answer = desk.post(f"/boats/add/?like={like.pk}", {**BOAT, "customer": owner.pk})
    assert answer.status_code == 302, text_of(answer)
    boat = Boat.objects.get(name="Heron")
    for kind in ("units", "cables", "locations", "routes", "banks"):
        assert getattr(boat, kind).count() == getattr(like, kind).count()
    assert set(boat.units.values_list("serial", flat=True)) == {""}
    assert boat.cables.first().ends.get(side="a").unit.boat == boat
    assert boat.backbones.get().tees.count() == 3
    hows = (
        Evidence.objects.filter(boat=boat).exclude(fact="length_ft").values_list("how", flat=True)
    )
    assert set(hows) == {"assumed"}


def test_a_sale_keeps_the_history_with_the_boat(desk: Client, boat: Boat, shop: Shop) -> None:
    before = boat.customer
    OwnershipFactory(boat=boat)
    UnitFactory(boat=boat)
    buyer = CustomerFactory(shop=shop, name="Buyer")
    answer = desk.post(f"/boats/{boat.pk}/sell/", {"to": buyer.pk, "on": "2026-01-05"})
    assert answer.status_code == 302
    boat.refresh_from_db()
    assert (boat.customer, boat.units.count()) == (buyer, 1)
    rows = boat.ownerships.order_by("pk").values_list("customer", "until")
    assert [row[0] for row in rows] == [before.pk, buyer.pk]
    assert Boat.objects.matching("buyer").get() == boat


def test_a_sale_to_the_owner_or_ahead_of_time_is_refused(desk: Client, boat: Boat) -> None:
    tomorrow = timezone.localdate() + timedelta(days=2)
    same = desk.post(f"/boats/{boat.pk}/sell/", {"to": boat.customer_id, "on": "2026-01-05"})
    early = desk.post(f"/boats/{boat.pk}/sell/", {"to": boat.customer_id, "on": str(tomorrow)})
    assert (same.status_code, early.status_code) == (422, 422)
    assert "owns Quiet Tern already" in text_of(same)


def test_a_boat_with_units_is_retired_and_restored_and_never_deleted(
    desk: Client, boat: Boat
) -> None:
    UnitFactory(boat=boat)
    assert desk.post(f"/boats/{boat.pk}/delete/").status_code == 409
    desk.post(f"/boats/{boat.pk}/retire/", follow=True)
    assert "Quiet Tern" not in text_of(desk.get("/boats/", {"q": "quiet"}))
    desk.post(f"/boats/{boat.pk}/restore/", follow=True)
    assert "Quiet Tern" in text_of(desk.get("/boats/", {"q": "quiet"}))


def test_a_boat_that_nothing_refers_to_is_deleted(desk: Client, boat: Boat) -> None:
    LocationFactory(boat=boat)
    assert desk.post(f"/boats/{boat.pk}/delete/").status_code == 302
    assert not Boat.objects.exists()


def test_a_dispute_is_settled_by_a_button(
    desk: Client, boat: Boat, shop: Shop, technician: User
) -> None:
    model = EquipmentModelFactory(shop=shop, releases=["1.0", "2.0"])
    unit = UnitFactory(boat=boat, model=model)
    facts = {"boat": boat, "subject": unit, "fact": "release", "by": technician}
    record_fact(**facts, value="1.0", how="bus")
    weak = record_fact(**facts, value="2.0", how="customer")
    assert "Take 2.0" in text_of(desk.get(f"/boats/{boat.pk}/"))
    desk.post(f"/boats/evidence/{weak.pk}/settle/", {"keep": "yes"})
    assert Unit.objects.get().release.name == "2.0"
    assert desk.post(f"/boats/evidence/{weak.pk}/settle/", {"keep": "yes"}).status_code == 409


def test_the_list_behind_boats_finds_by_any_word(desk: Client, boat: Boat) -> None:
    assert "Quiet Tern" in text_of(desk.get("/pick/boats", {"q": "basin c14"}))


def test_the_lists_behind_units_and_locations_keep_to_a_boat(
    desk: Client, boat: Boat, shop: Shop
) -> None:
    UnitFactory(boat=boat, name="d1")
    UnitFactory(boat__shop=shop, name="d77")
    UnitFactory(name="d99")
    all_of_shop = text_of(desk.get("/pick/units", {"q": "d"}))
    assert "d77" in all_of_shop
    assert "d99" not in all_of_shop
    assert "d77" not in text_of(desk.get("/pick/units", {"boat": boat.pk}))
    assert boat.locations.get().name in text_of(desk.get("/pick/locations", {"boat": boat.pk}))
