"""Asking for a plan, planning again, and what becomes of faults and of time."""

import pytest
from django.utils import timezone

from planner import services
from planner.models import PlanRun, Statement
from planner.services import advance_plan, plan_again, start_plan, wishes_without
from shopapp.accounts.models import Shop, User
from shopapp.catalog.models import EquipmentModel
from shopapp.errors import FactRefused
from shopapp.work.models import RowState
from shopapp.work.registry import KINDS
from tests.factories.planner import StatementFactory
from tests.planner.worlds import World, add, two_displays

pytestmark = pytest.mark.django_db


def test_a_plan_is_ready_at_once_with_case_and_answer_kept_whole(shop: Shop, writer: User) -> None:
    world = two_displays(shop)
    run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    assert run.row_state == RowState.READY
    assert run.feasible
    assert run.asked_by == writer
    assert run.shop == shop
    assert run.case["job"]["requests"][0]["add"] == ["display-r"]
    assert {unit["unit"] for unit in run.answer["options"][0]["units"]} >= {"d1", "d2", "wish-1"}


def test_what_the_search_cannot_prove_in_time_is_left_to_the_worker(
    shop: Shop, writer: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    world = two_displays(shop)
    monkeypatch.setattr(services, "IN_REQUEST_SECONDS", -1.0)
    run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    assert run.row_state == RowState.REQUESTED
    assert run.answer is None
    assert KINDS["plan"].advance(run.pk)
    run.refresh_from_db()
    assert run.row_state == RowState.READY


def test_the_worker_keeps_the_best_found_though_it_is_not_proven(
    shop: Shop, writer: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    world = two_displays(shop)
    monkeypatch.setattr(services, "IN_REQUEST_SECONDS", -1.0)
    run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    assert advance_plan(run.pk, seconds=-1.0)
    run.refresh_from_db()
    assert run.row_state == RowState.READY
    assert run.answer["proven"] is False


def test_a_plan_that_another_took_is_left_alone(shop: Shop, writer: User) -> None:
    world = two_displays(shop)
    run = start_plan(boat=world.boat, wishes=world.wishes(), by=writer)
    assert not advance_plan(run.pk)


def test_records_that_no_plan_can_be_made_from_fail_with_a_reason(shop: Shop, writer: User) -> None:
    world = two_displays(shop)
    world.fit("new1", "display-r")
    run = start_plan(boat=world.boat, wishes=world.wishes(), by=writer)
    assert run.row_state == RowState.FAILED
    assert run.reason == (
        "The records cannot be planned with: 'new1' is a name that the planner keeps for itself "
        "(at $.boat.devices[2].id). Put that record right, then plan again."
    )


def test_plan_again_takes_the_records_of_today_and_leaves_the_old_plan(
    shop: Shop, writer: User
) -> None:
    world = two_displays(shop)
    first = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    total = first.answer["options"][0]["total_cents"]
    part = world.models["display-r"].part
    part.price_cents += 5000
    part.save()
    second = plan_again(run=first, by=writer)
    first.refresh_from_db()
    assert second.again_of == first
    assert second.answer["options"][0]["total_cents"] == total + 5000
    assert first.answer["options"][0]["total_cents"] == total
    assert first.case["catalogue"]["models"]["display-r"]["price_cents"] == 150000


def impossible(world: World) -> dict:
    """Two displays are wished for; a statement allows but two in all."""
    StatementFactory(
        shop=world.shop, code="S-50", rule={"at_most": 2, "of": {"kinds": ["display"]}}
    )
    keep = [{"kind": "network", "device": name} for name in ("d1", "d2")]
    return world.wishes(add(), *keep)


def test_an_impossible_wish_is_an_answer_with_its_ways_out(shop: Shop, writer: User) -> None:
    world = two_displays(shop)
    run = start_plan(boat=world.boat, wishes=impossible(world), by=writer)
    assert run.row_state == RowState.READY
    assert run.feasible is False
    assert run.answer["conflict"] == ["S-50", "wish-1", "wish-2", "wish-3"]
    assert run.answer["relaxations"] == [["S-50"], ["wish-1"], ["wish-2"], ["wish-3"]]


def test_a_dropped_wish_makes_it_possible(shop: Shop, writer: User) -> None:
    world = two_displays(shop)
    run = start_plan(boat=world.boat, wishes=impossible(world), by=writer)
    again = plan_again(run=run, by=writer, drop=("wish-1",))
    assert again.feasible
    assert [wish["id"] for wish in again.wishes["requests"]] == ["wish-2", "wish-3"]


def test_dropping_the_limit_of_switches_allows_three_more(shop: Shop) -> None:
    world = two_displays(shop)
    wishes = wishes_without(world.wishes(add()), ("max_new",))
    assert wishes["switches"]["max_new"] == 5
    assert len(wishes["requests"]) == 1


@pytest.mark.parametrize("name", ["S-50", "dc_limit"])
def test_statements_and_the_dc_limit_are_never_dropped(shop: Shop, name: str) -> None:
    world = two_displays(shop)
    with pytest.raises(FactRefused, match="is no wish of this plan"):
        wishes_without(world.wishes(add()), (name,))


def test_an_old_plan_keeps_its_facts_when_the_catalogue_changes(shop: Shop, writer: User) -> None:
    world = two_displays(shop)
    run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    kept = (run.case, run.answer, run.assumptions)
    EquipmentModel.objects.filter(code="display-r").update(
        name="Renamed", retired_at=timezone.now()
    )
    Statement.objects.filter(code="S-1").update(text="Says otherwise now.")
    fresh = PlanRun.objects.get(pk=run.pk)
    assert (fresh.case, fresh.answer, fresh.assumptions) == kept
