"""Problems across the fleet: boats counted, not tickets; not known is never fine."""

import pytest
from django.urls import reverse

from shopapp.boats.models import Boat, Location, Unit
from shopapp.insights.fleet import boats_in, groups_of
from shopapp.insights.rates import percent, wilson
from shopapp.jobs.models import Job, Problem
from tests.factories.catalog import EquipmentModelFactory, SwitchFactory
from tests.factories.jobs import make_boat


@pytest.mark.parametrize(
    ("affected", "at_risk", "low", "high"),
    [
        (3, 12, "8.9", "53.2"),
        (30, 400, "5.3", "10.5"),
        (0, 8, "0", "32.4"),
        (1, 4, "4.6", "69.9"),
        (12, 60, "11.8", "31.8"),
        (9, 180, "2.7", "9.2"),
    ],
)
def test_the_interval_is_wilsons(affected, at_risk, low, high):
    assert tuple(percent(end) for end in wilson(affected, at_risk)) == (low, high)


@pytest.mark.parametrize(("affected", "at_risk"), [(1, 0), (3, 2), (-1, 5)])
def test_counts_that_cannot_be_are_refused(affected, at_risk):
    with pytest.raises(ValueError, match="cannot be"):
        wilson(affected, at_risk)


class Fleet:
    """Boats that carry a display, some beside a switch, and problems on some of them."""

    def __init__(self, shop):
        self.shop = shop
        self.display = EquipmentModelFactory(
            shop=shop, name="Bench Plover", releases=["1.0", "2.0"]
        )
        self.switch = SwitchFactory(shop=shop, name="Bench Weir")
        self.releases = {row.name: row for row in self.display.releases.all()}
        self.boats: list[Boat] = []

    def boat(self, release: str | None, *, switch: bool = False) -> Boat:
        boat = make_boat(self.shop, name=f"Owner {len(self.boats)}")
        Boat.objects.filter(pk=boat.pk).update(name=f"Boat {len(self.boats):02d}")
        boat.refresh_from_db()
        place = Location.objects.create(boat=boat, name="console")
        facts = {"boat": boat, "location": place}
        Unit.objects.create(
            name="d1", model=self.display, release=self.releases.get(release), **facts
        )
        if switch:
            Unit.objects.create(name="sw1", model=self.switch, **facts)
        self.boats.append(boat)
        return boat

    def problem(self, boat: Boat, release: str | None, *, beside: bool = False) -> Problem:
        job, _ = Job.objects.get_or_create(
            shop=self.shop,
            boat=boat,
            customer=boat.customer,
            number=f"J-{boat.pk}",
            defaults={"title": "Visit"},
        )
        return Problem.objects.create(
            shop=self.shop,
            job=job,
            boat=boat,
            model=self.display,
            release=self.releases.get(release),
            counterpart=self.switch if beside else None,
            symptom="reboots",
            words="Reboots.",
        )


@pytest.fixture
def fleet(shop):
    return Fleet(shop)


def test_five_visits_to_one_boat_are_one_affected_boat(fleet):
    boats = [fleet.boat("1.0") for _ in range(6)]
    for _ in range(5):
        fleet.problem(boats[0], "1.0")
    (group,) = groups_of(fleet.shop)
    assert (len(group.affected), len(group.at_risk)) == (1, 6)
    assert group.share_words == "16.7 %"


def test_only_boats_with_the_same_release_and_counterpart_are_at_risk(fleet):
    affected = fleet.boat("1.0", switch=True)
    same = fleet.boat("1.0", switch=True)
    fleet.boat("1.0")
    fleet.boat("2.0", switch=True)
    fleet.problem(affected, "1.0", beside=True)
    (group,) = groups_of(fleet.shop)
    assert group.at_risk == {affected.pk, same.pk}


def test_a_boat_whose_release_nobody_knows_stands_apart(fleet):
    affected, clear, blank = fleet.boat("1.0"), fleet.boat("1.0"), fleet.boat(None)
    fleet.problem(affected, "1.0")
    (group,) = groups_of(fleet.shop)
    assert boats_in(group) == {"affected": [affected], "clear": [clear], "unknown": [blank]}
    assert blank.pk not in group.at_risk


def test_below_five_boats_it_is_too_few_to_tell(fleet):
    boats = [fleet.boat("1.0") for _ in range(4)]
    fleet.problem(boats[0], "1.0")
    assert groups_of(fleet.shop)[0].too_few
    fleet.boat("1.0")
    assert not groups_of(fleet.shop)[0].too_few


def test_what_is_surely_frequent_stands_before_one_of_one(fleet):
    many = [fleet.boat("2.0") for _ in range(10)]
    for boat in many[:6]:
        fleet.problem(boat, "2.0")
    fleet.problem(fleet.boat("1.0"), "1.0")
    fleet.problem(many[9], None)
    groups = groups_of(fleet.shop)
    assert [group.release for group in groups] == ["2.0", "1.0", ""]


def test_a_retired_boat_and_a_removed_unit_are_not_at_risk(fleet, django_user_model):
    affected, gone = fleet.boat("1.0"), fleet.boat("1.0")
    gone.units.update(state="removed")
    fleet.problem(affected, "1.0")
    assert groups_of(fleet.shop)[0].at_risk == {affected.pk}


def test_another_shops_boats_are_not_counted(fleet, stranger):
    fleet.problem(fleet.boat("1.0"), "1.0")
    assert groups_of(stranger.shop) == []


@pytest.mark.parametrize("count", [1, 3])
def test_the_fleet_page_takes_the_same_queries_at_any_length(
    fleet, client_for, manager, count, django_assert_num_queries
):
    for _ in range(count):
        fleet.problem(fleet.boat("1.0"), "1.0")
        fleet.problem(fleet.boat("2.0", switch=True), "2.0", beside=True)
    client = client_for(manager)
    client.get(reverse("insights:fleet"))
    with django_assert_num_queries(7):
        page = client.get(reverse("insights:fleet"))
    assert "Too few to tell" in page.content.decode()


def test_a_group_opens_to_its_boats(fleet, client_for, manager):
    affected, clear, blank = fleet.boat("1.0"), fleet.boat("1.0"), fleet.boat(None)
    fleet.problem(affected, "1.0")
    url = reverse("insights:group", args=[fleet.display.pk, fleet.releases["1.0"].pk, 0])
    text = client_for(manager).get(url).content.decode()
    for boat in (affected, clear, blank):
        assert boat.name in text
    assert "Release not known: look" in text


@pytest.mark.parametrize(
    ("role", "status"),
    [("manager", 200), ("owner", 200), ("writer", 200), ("technician", 403), ("parts_person", 403)],
)
def test_the_fleet_is_for_those_who_decide(client_for, request, role, status):
    client = client_for(request.getfixturevalue(role))
    assert client.get(reverse("insights:fleet")).status_code == status


def test_a_group_of_another_shop_is_not_found(fleet, client_for, stranger):
    fleet.problem(fleet.boat("1.0"), "1.0")
    url = reverse("insights:group", args=[fleet.display.pk, fleet.releases["1.0"].pk, 0])
    assert client_for(stranger).get(url).status_code == 404


def test_a_model_without_firmware_is_told_by_its_boats_alone(fleet):
    boats = [fleet.boat("1.0", switch=True) for _ in range(6)]
    problem = fleet.problem(boats[0], None)
    Problem.objects.filter(pk=problem.pk).update(model=fleet.switch)
    (group,) = groups_of(fleet.shop)
    assert (group.release_known, group.release_words) == (True, "no firmware")
    assert (len(group.affected), len(group.at_risk)) == (1, 6)


def test_a_model_with_firmware_whose_release_was_not_noted_tells_nothing(fleet):
    boats = [fleet.boat("1.0") for _ in range(6)]
    fleet.problem(boats[0], None)
    (group,) = groups_of(fleet.shop)
    assert not group.release_known
