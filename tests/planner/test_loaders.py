"""From a boat's records to a case that the engine takes."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from planner.engine import check_case
from planner.loaders import build_case, digest_of
from shopapp.accounts.models import Shop
from shopapp.boats.models import Unit
from shopapp.catalog.models import EquipmentModel, Release
from shopapp.errors import FactRefused
from tests.factories.planner import StatementFactory
from tests.planner.worlds import add, retire_price, two_displays

pytestmark = pytest.mark.django_db
QUERIES = 17


def test_case_of_a_boat_is_taken_by_the_engine(shop: Shop) -> None:
    world = two_displays(shop)
    case = build_case(boat=world.boat, wishes=world.wishes(add())).case
    check_case(case)
    assert [device["id"] for device in case["boat"]["devices"]] == ["d1", "d2"]
    assert case["boat"]["cables"] == [
        {
            "id": "in-1",
            "cable": "run-5",
            "between": ["console", "console"],
            "feet": 5,
            "ends": {"d1": 1, "d2": 1},
        }
    ]
    assert case["job"]["requests"] == [
        {
            "id": "wish-1",
            "words": "Add Plover 9 at bow, on the network",
            "add": ["display-r"],
            "location": "bow",
            "networked": True,
        }
    ]


@pytest.mark.parametrize("count", [1, 12])
def test_queries_do_not_grow_with_the_boat(shop: Shop, count: int) -> None:
    world = two_displays(shop)
    Unit.objects.update(state="removed")
    for number in range(count):
        world.fit(f"u{number}", "display-q")
    with CaptureQueriesContext(connection) as queries:
        build_case(boat=world.boat, wishes=world.wishes(add()))
    assert len(queries) == QUERIES


def test_units_not_aboard_are_left_out(shop: Shop) -> None:
    world = two_displays(shop)
    world.fit("gone", "sounder-s", state="removed")
    world.fit("bench", "sounder-s", state="bench")
    case = build_case(boat=world.boat, wishes=world.wishes()).case
    assert [device["id"] for device in case["boat"]["devices"]] == ["d1", "d2"]


def test_only_models_that_can_matter_are_in_the_case(shop: Shop) -> None:
    world = two_displays(shop)
    case = build_case(boat=world.boat, wishes=world.wishes()).case
    assert sorted(case["catalogue"]["models"]) == ["display-q", "display-r", "switch-b"]


def test_a_retired_model_cannot_be_bought_and_is_no_any_that_fits(shop: Shop) -> None:
    world = two_displays(shop)
    EquipmentModel.objects.filter(code="display-r").update(retired_at=timezone.now())
    wish = {"kind": "add", "models": [], "kind_wanted": "display", "location": "bow"}
    case = build_case(boat=world.boat, wishes=world.wishes(wish)).case
    assert case["catalogue"]["models"]["display-r"]["price_cents"] is None
    assert case["job"]["requests"][0]["add"] == ["display-q"]
    assert case["job"]["requests"][0]["words"] == "Add any display that fits at bow, on the network"


def test_replace_by_any_never_names_its_own_model(shop: Shop) -> None:
    world = two_displays(shop)
    wish = {"kind": "replace", "device": "d1", "models": []}
    case = build_case(boat=world.boat, wishes=world.wishes(wish)).case
    assert case["job"]["requests"][0]["by"] == ["display-r"]


def test_unknown_release_is_taken_as_the_oldest(shop: Shop) -> None:
    world = two_displays(shop)
    Unit.objects.filter(name="d1").update(release=None)
    built = build_case(boat=world.boat, wishes=world.wishes())
    assert built.case["boat"]["devices"][0]["release"] == "2.0"
    assert "release:d1" in {entry["key"] for entry in built.assumptions}


@pytest.mark.parametrize(("cabled", "expected"), [(True, True), (False, False)])
def test_unknown_network_is_read_off_the_cables(shop: Shop, cabled: bool, expected: bool) -> None:
    world = two_displays(shop)
    if not cabled:
        world.boat.cables.all().delete()
    Unit.objects.filter(name="d1").update(networked=None)
    case = build_case(boat=world.boat, wishes=world.wishes()).case
    assert case["boat"]["devices"][0]["networked"] is expected


def test_a_withdrawn_release_is_no_goal(shop: Shop) -> None:
    world = two_displays(shop)
    model = world.models["display-q"]
    Release.objects.create(model=model, name="2.3", rank=3, withdrawn=True)
    case = build_case(boat=world.boat, wishes=world.wishes()).case
    assert case["catalogue"]["models"]["display-q"]["releases"] == ["2.0", "2.2"]


def test_statement_naming_models_beyond_the_boat_is_cut_down(shop: Shop) -> None:
    world = two_displays(shop)
    StatementFactory(
        shop=shop,
        code="S-9",
        rule={"at_most": 1, "of": {"models": ["display-r", "far-away"]}},
    )
    StatementFactory(shop=shop, code="S-8", rule={"at_most": 1, "of": {"models": ["far-away"]}})
    case = build_case(boat=world.boat, wishes=world.wishes()).case
    check_case(case)
    rules = {s["id"]: s["rule"] for s in case["catalogue"]["statements"]}
    assert rules["S-9"] == {"at_most": 1, "of": {"models": ["display-r"]}}
    assert "S-8" not in rules


def test_a_superseded_statement_is_not_in_force(shop: Shop) -> None:
    world = two_displays(shop)
    old = StatementFactory(shop=shop, code="S-7")
    StatementFactory(shop=shop, code="S-7b", supersedes=old)
    case = build_case(boat=world.boat, wishes=world.wishes()).case
    assert {"S-7b"} == {s["id"] for s in case["catalogue"]["statements"] if "S-7" in s["id"]}


def test_a_cable_no_longer_sold_is_known_but_never_bought(shop: Shop) -> None:
    world = two_displays(shop)
    retire_price(world.cables[5])
    case = build_case(boat=world.boat, wishes=world.wishes()).case
    check_case(case)
    assert case["catalogue"]["cables"]["run-5"]["feet"] == 0
    assert case["catalogue"]["cables"]["run-5"]["not_in_sale"] is True


def test_a_wish_for_a_unit_that_is_gone_is_refused(shop: Shop) -> None:
    world = two_displays(shop)
    with pytest.raises(FactRefused, match="d7 is no longer aboard"):
        build_case(boat=world.boat, wishes=world.wishes({"kind": "keep", "device": "d7"}))


def test_another_shop_is_never_in_the_case(shop: Shop, stranger: object) -> None:
    world = two_displays(shop)
    StatementFactory(shop=stranger.shop, code="S-99")
    case = build_case(boat=world.boat, wishes=world.wishes()).case
    assert "S-99" not in {s["id"] for s in case["catalogue"]["statements"]}


def test_the_digest_follows_the_facts_and_not_the_names(shop: Shop) -> None:
    world = two_displays(shop)
    before = digest_of(build_case(boat=world.boat, wishes=world.wishes()).case)
    EquipmentModel.objects.filter(code="display-r").update(name="Plover 9 new")
    assert digest_of(build_case(boat=world.boat, wishes=world.wishes()).case) == before
    world.route.feet = 30
    world.route.save()
    assert digest_of(build_case(boat=world.boat, wishes=world.wishes()).case) != before
