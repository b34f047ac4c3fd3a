"""What changed between two plans, in words."""

from collections.abc import Callable

import pytest

from planner.differences import Change, differ_in_answers, differ_in_facts
from planner.services import plan_again, start_plan
from shopapp.accounts.models import Shop, User
from shopapp.catalog.models import Release
from tests.factories.planner import StatementFactory
from tests.planner.worlds import World, add, retire_price, two_displays

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(shop: Shop) -> World:
    return two_displays(shop)


def changed(world: World, writer: User, act: Callable[[], object]) -> list[Change]:
    """The facts that changed by an act between two plans."""
    first = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    act()
    world.boat.refresh_from_db()
    second = plan_again(run=first, by=writer)
    return differ_in_facts(first.case, second.case, currency="USD")


def test_nothing_changed_is_nothing(world: World, writer: User) -> None:
    assert changed(world, writer, lambda: None) == []


def test_a_unit_that_was_updated(world: World, writer: User) -> None:
    unit = world.units["d1"]
    unit.release = unit.model.releases.get(name="2.0")
    assert changed(world, writer, unit.save) == [
        Change(
            "Units aboard",
            "d1",
            "Plover 7 at console, release 2.2, on the network, 1 adapter lead on it",
            "Plover 7 at console, release 2.0, on the network, 1 adapter lead on it",
        )
    ]


def test_a_unit_that_came_and_one_that_went(world: World, writer: User) -> None:
    def act() -> None:
        world.fit("s1", "sounder-s", networked=False, release=None)
        world.units["d2"].state = "removed"
        world.units["d2"].save()

    units = [c for c in changed(world, writer, act) if c.group == "Units aboard"]
    assert [(c.what, bool(c.before), bool(c.after)) for c in units] == [
        ("d2", True, False),
        ("s1", False, True),
    ]


def test_a_price_that_rose_and_one_that_went(world: World, writer: User) -> None:
    part = world.models["display-r"].part
    part.price_cents = 160000
    part.save()
    assert changed(world, writer, lambda: retire_price(part)) == [
        Change("Prices", "Plover 9", "$1,600.00", "cannot be bought")
    ]


def test_a_route_a_limit_and_a_rate(world: World, writer: User) -> None:
    def act() -> None:
        world.route.feet = 20
        world.route.save()
        world.boat.dc_limit_ma = None
        world.boat.save()
        world.shop.fuse_minutes = 9
        world.shop.save()

    assert changed(world, writer, act) == [
        Change("Routes", "bow – console", "14 ft", "20 ft"),
        Change("Limits and rates", "Electronics feed limit", "60,000", "not known"),
        Change("Limits and rates", "Minutes to change a fuse", "5", "9"),
    ]


def test_a_new_release(world: World, writer: User) -> None:
    act = Release(model=world.models["display-r"], name="3.2", rank=9).save
    assert changed(world, writer, act) == [
        Change("Firmware", "Plover 9", "3.1; ships with 3.1", "3.1, 3.2; ships with 3.1")
    ]


def test_statements_that_came_changed_and_went(world: World, writer: User) -> None:
    rows = {row.code: row for row in world.shop.statements.all()}

    def act() -> None:
        StatementFactory(shop=world.shop, code="S-3", text="New.")
        rows["S-1"].text = "Told otherwise."
        rows["S-1"].save()

    statements = [c for c in changed(world, writer, act) if c.group == "Statements"]
    assert statements == [
        Change(
            "Statements",
            "S-1",
            "“Weir takes Plover 7 from 2.2 and Plover 9.”",
            "“Told otherwise.”",
        ),
        Change("Statements", "S-3", "", "“New.”"),
    ]


def test_answers_that_differ_in_price_and_options(world: World, writer: User) -> None:
    first = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    second = plan_again(run=first, by=writer, drop=("wish-1",))
    changes = differ_in_answers(
        (first.case, first.answer), (second.case, second.answer), currency="USD"
    )
    cheapest = next(c for c in changes if c.what == "Cheapest")
    assert cheapest.after == "$0.00, of it $0.00 counted for what is given up"
    assert any(c.what == "No longer offered" for c in changes)


def test_the_same_answer_is_no_change(world: World, writer: User) -> None:
    first = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    second = plan_again(run=first, by=writer)
    sides = (first.case, first.answer), (second.case, second.answer)
    assert differ_in_answers(*sides, currency="USD") == []


def test_a_dropped_wish_is_told(world: World, writer: User) -> None:
    first = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    second = plan_again(run=first, by=writer, drop=("wish-1", "max_new"))
    wishes = [
        c for c in differ_in_facts(first.case, second.case, currency="USD") if c.group == "Wishes"
    ]
    assert wishes == [
        Change("Wishes", "Wish dropped", "Add Plover 9 at bow, on the network", ""),
        Change("Wishes", "Most new switches", "2", "5"),
    ]
