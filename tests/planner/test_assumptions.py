"""Every kind of unknown becomes an assumption where a plan rests on it, and only there."""

from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from planner.services import start_plan
from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Bank, CableEnd, Evidence, Location, Route, Unit
from shopapp.catalog.models import EquipmentModel
from tests.factories.planner import StatementFactory
from tests.planner.worlds import World, add, retire_price, two_displays

pytestmark = pytest.mark.django_db


@pytest.fixture
def world(shop: Shop) -> World:
    return two_displays(shop)


def taken(world: World, writer: User, *requests: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The assumptions of a plan of these wishes by key."""
    run = start_plan(boat=world.boat, wishes=world.wishes(*requests), by=writer)
    assert run.answer, run.reason
    assert [entry["number"] for entry in run.assumptions] == list(
        range(1, len(run.assumptions) + 1)
    )
    return {entry["key"]: entry for entry in run.assumptions}


def test_nothing_is_assumed_where_all_is_known(world: World, writer: User) -> None:
    assert taken(world, writer) == {}


def test_a_release_not_known_decides_and_makes_the_plan_not_known(
    world: World, writer: User
) -> None:
    Unit.objects.filter(name="d1").update(release=None)
    entry = taken(world, writer)["release:d1"]
    assert entry["taken"] == (
        "d1 is on release 2.0, the oldest of its model: its release is not known."
    )
    assert (entry["decides"], entry["missing"]) == (True, True)
    assert entry["confirm_by"] == "Photo of its system page before parts are ordered."


def test_a_network_not_known_is_an_assumption(world: World, writer: User) -> None:
    Unit.objects.filter(name="d1").update(networked=None)
    entry = taken(world, writer)["networked:d1"]
    assert "nobody noted which, and a network cable is noted in it" in entry["taken"]
    assert entry["missing"]


def test_a_unit_that_may_be_gone_is_an_assumption(world: World, writer: User) -> None:
    Unit.objects.filter(name="d1").update(state="unknown")
    assert taken(world, writer)["aboard:d1"]["missing"]


@pytest.mark.parametrize(
    ("fact", "how", "days", "words"),
    [
        ("release", "seen", 91, "release (seen 91 days ago)"),
        ("model", "seen", 1900, "model (seen 5 years ago)"),
        ("model", "customer", 1, "model (customer's word)"),
        ("release", "assumed", 1, "release (assumed)"),
        ("networked", "supplier", 1, "on the network (supplier's record)"),
    ],
)
def test_weak_or_old_evidence_is_an_assumption(
    world: World, writer: User, fact: str, how: str, days: int, words: str
) -> None:
    unit = world.units["d1"]
    Evidence.objects.filter(unit=unit, fact=fact).delete()
    world.note(unit, fact, how=how, days=days)
    assert words in taken(world, writer)["weak:d1"]["taken"]


@pytest.mark.parametrize(("fact", "days"), [("release", 89), ("model", 1800), ("location", 4000)])
def test_evidence_that_is_fresh_enough_is_none(
    world: World, writer: User, fact: str, days: int
) -> None:
    unit = world.units["d1"]
    Evidence.objects.filter(unit=unit, fact=fact).delete()
    world.note(unit, fact, days=days)
    assert taken(world, writer) == {}


def test_a_fact_without_evidence_is_an_assumption(world: World, writer: User) -> None:
    Evidence.objects.filter(unit=world.units["d2"], fact="model").delete()
    entry = taken(world, writer)["weak:d2"]
    assert "model (how it is known was not noted)" in entry["taken"]


def test_disputed_evidence_makes_the_plan_not_known(world: World, writer: User) -> None:
    world.note(world.units["d1"], "release", how="customer", standing="disputed", value="2.0")
    entry = taken(world, writer)["disputed:d1:release"]
    assert "customer's word says 2.0" in entry["taken"]
    assert entry["missing"]


def test_adapters_not_noted_are_taken_as_none(world: World, writer: User) -> None:
    unit = world.units["d1"]
    Evidence.objects.filter(unit=unit, fact="adapters").delete()
    Unit.objects.filter(pk=unit.pk).update(adapters=0)
    entry = taken(world, writer)["adapters:d1"]
    assert entry["decides"] is False


def test_a_fuse_not_noted_counts_only_where_the_unit_is_replaced(
    world: World, writer: User
) -> None:
    Unit.objects.filter(name="d1").update(fuse_ma=None)
    assert "fuse:d1" not in taken(world, writer)
    replace = {"kind": "replace", "device": "d1", "models": ["display-r"]}
    assert "fuse:d1" in taken(world, writer, replace)


def test_a_rough_route_counts_only_where_a_cable_is_bought_along_it(
    world: World, writer: User
) -> None:
    Route.objects.filter(pk=world.route.pk).update(sureness="low")
    assert "route:console:bow" not in taken(world, writer)
    assert "route:console:bow" in taken(world, writer, add(at="bow"))


@pytest.mark.parametrize(
    ("facts", "key"),
    [({"fuel": ""}, "fuel"), ({"dc_volts": None}, "dc_volts"), ({"dc_limit_ma": None}, "dc_limit")],
)
def test_what_the_boat_does_not_tell_counts_where_something_is_placed(
    world: World, writer: User, facts: dict[str, Any], key: str
) -> None:
    for name, value in facts.items():
        setattr(world.boat, name, value)
    world.boat.save()
    assert key not in taken(world, writer)
    entry = taken(world, writer, add())[key]
    assert entry["decides"]


def test_no_limit_of_current_is_said_in_words(world: World, writer: User) -> None:
    world.boat.dc_limit_ma = None
    world.boat.save()
    assert "so no limit was taken" in taken(world, writer, add())["dc_limit"]["taken"]


def test_a_place_where_petrol_vapour_may_gather_is_never_taken_as_fine(
    world: World, writer: User
) -> None:
    Location.objects.filter(name="bow").update(vapour=True)
    entry = taken(world, writer, add(at="bow"))["vapour:bow:display-r"]
    assert entry["missing"]
    EquipmentModel.objects.filter(code="display-r").update(ignition_protected=True)
    assert "vapour:bow:display-r" not in taken(world, writer, add(at="bow"))


def test_a_bank_of_unknown_chemistry_counts_only_with_updates(world: World, writer: User) -> None:
    Bank.objects.update(chemistry="")
    assert "chemistry:House" not in taken(world, writer)
    unit = world.units["d1"]
    unit.release = unit.model.releases.get(name="2.0")
    unit.save()
    assert "chemistry:House" in taken(world, writer, add())


def test_a_cable_with_one_end_noted_is_not_counted_on(world: World, writer: User) -> None:
    CableEnd.objects.filter(side="b").delete()
    assert "cable:in-1" in taken(world, writer)


def test_an_adapter_without_a_price_counts_where_it_is_bought(world: World, writer: User) -> None:
    retire_price(world.adapter)
    assert "price:adapter-x" not in taken(world, writer)
    assert "price:adapter-x" in taken(world, writer, add("display-q"))


def test_a_model_whose_first_release_is_not_known_counts_where_it_is_bought(
    world: World, writer: User
) -> None:
    EquipmentModel.objects.filter(code="display-r").update(ships_with=None)
    assert "ships:display-r" not in taken(world, writer)
    assert "ships:display-r" in taken(world, writer, add())


def test_a_model_of_which_no_statement_speaks_with_the_switch_is_not_known(
    world: World, writer: User
) -> None:
    world.shop.statements.filter(code="S-2").delete()
    sounder = {"kind": "add", "models": ["sounder-s"], "location": "console", "networked": True}
    entry = taken(world, writer, sounder)["norule:sounder-s:switch-b"]
    assert entry["taken"] == "Dipper 2 works with Weir 5: no statement speaks of the two together."
    assert entry["missing"]


def test_a_statement_of_low_confidence_is_an_assumption(world: World, writer: User) -> None:
    StatementFactory(
        shop=world.shop,
        code="S-60",
        confidence="low",
        seen=timezone.localdate(),
        rule={"at_most": 4, "of": {"kinds": ["display"]}},
    )
    entry = taken(world, writer)["statement:S-60"]
    assert (entry["decides"], entry["missing"]) == (True, False)


def test_old_statements_are_told_together(world: World, writer: User) -> None:
    for code in ("S-70", "S-71"):
        StatementFactory(
            shop=world.shop,
            code=code,
            seen=timezone.localdate() - timedelta(days=400),
            rule={"at_most": 4, "of": {"kinds": ["display"]}},
        )
    assert "S-70, S-71" in taken(world, writer)["statements:old"]["taken"]


def test_units_that_a_plan_does_not_touch_are_not_spoken_of(world: World, writer: User) -> None:
    world.fit("loner", "display-r", networked=False, release=None)
    entry = taken(world, writer, {"kind": "keep", "device": "loner"})["release:loner"]
    cheapest = 0
    assert cheapest not in entry["options"]


def test_what_could_decide_is_listed_where_no_plan_is_right(world: World, writer: User) -> None:
    Unit.objects.filter(name="d1").update(release=None)
    StatementFactory(
        shop=world.shop, code="S-50", rule={"at_most": 1, "of": {"kinds": ["display"]}}
    )
    wishes = [{"kind": "network", "device": name} for name in ("d1", "d2")]
    entry = taken(world, writer, *wishes)["release:d1"]
    assert entry["options"] == []
