"""Boats against the statements in force: exactly those touched are checked, as if all were."""

import random

import pytest
from django.core.management import call_command
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from planner.models import Statement
from planner.statements.services import retire_statement, save_statement
from shopapp.boats.models import Boat
from shopapp.catalog.models import Release
from shopapp.fleet.models import BoatStanding, Recheck, RecheckPart
from shopapp.fleet.services import rechecks
from shopapp.fleet.services.rechecks import advance_part, check_boats, recheck_all, same_as_full

LATE = {
    "only": {"models": ["plover"], "min_release": {"plover": "2.0"}},
    "of": {"models": ["plover"]},
    "when": {"models": ["heron"]},
}


@pytest.fixture
def after(django_capture_on_commit_callbacks):
    """Do what waits for the commit; what earlier lines of the test left waiting is forgotten."""

    def begin():
        connection.run_on_commit = []
        return django_capture_on_commit_callbacks(execute=True)

    return begin


def say(fleet, rule, code="S-1", **facts):
    row = Statement(
        shop=fleet.shop, code=code, text="A rule", source="Talk", confidence="low",
        seen=timezone.localdate(), rule=rule, **facts,
    )  # fmt: skip
    return save_statement(statement=row, by=None, accept_clash=True)


def states(fleet):
    return dict(BoatStanding.objects.of(fleet.shop).values_list("boat", "state"))


def test_a_new_statement_checks_exactly_the_boats_that_it_touches(fleet, after):
    with after():
        pair, alone = fleet.boat("plover 1.0", "heron"), fleet.boat("plover 1.0")
        right, blank = fleet.boat("plover 2.0", "heron"), fleet.boat("plover", "heron")
    BoatStanding.objects.all().delete()
    with after():
        say(fleet, LATE)
    assert states(fleet) == {pair.pk: "wrong", right.pk: "right", blank.pk: "not_known"}
    assert alone.pk not in states(fleet)
    row = Recheck.objects.counted().latest("pk")
    assert (row.why, row.total, row.became_wrong) == ("S-1 changed", 3, 1)
    assert pair.standing.reasons == [["S-1", "broken"]]


def test_since_stays_while_the_state_stays(fleet, after):
    boat = fleet.boat("plover 1.0", "heron")
    with after():
        say(fleet, LATE)
    since = BoatStanding.objects.get(boat=boat).since
    check_boats(shop=fleet.shop, boats=[boat.pk])
    standing = BoatStanding.objects.get(boat=boat)
    assert (standing.since, standing.checked_at > since) == (since, True)


def test_an_update_aboard_puts_the_boat_right(fleet, after):
    boat = fleet.boat("plover 1.0", "heron")
    with after():
        say(fleet, LATE)
    unit = boat.units.get(model=fleet.display)
    unit.release = fleet.releases["2.0"]
    with after():
        unit.save()
    assert states(fleet) == {boat.pk: "right"}
    assert Recheck.objects.counted().latest("pk").put_right == 1


def test_what_changes_in_one_transaction_is_checked_once(fleet, after):
    boat = fleet.boat("plover 1.0", "heron")
    with after():
        for unit in boat.units.all():
            unit.save()
        boat.save()
    assert Recheck.objects.filter(why=f"{boat.name} changed").count() == 1


def test_a_retired_statement_and_a_retired_boat_count_no_more(fleet, after):
    boat, other = fleet.boat("plover 1.0", "heron"), fleet.boat("plover 1.0", "heron")
    with after():
        statement = say(fleet, LATE)
    with after():
        other.retired_at = timezone.now()
        other.save()
    assert states(fleet) == {boat.pk: "wrong"}
    with after():
        retire_statement(statement=statement)
    assert states(fleet) == {boat.pk: "right"}


def test_many_boats_are_left_to_the_workers_in_parts_that_outlive_a_kill(fleet, monkeypatch, after):
    monkeypatch.setattr(rechecks, "AT_ONCE", 0)
    monkeypatch.setattr(rechecks, "AT_A_TIME", 2)
    for _ in range(5):
        fleet.boat("plover 1.0", "heron")
    say(fleet, LATE)
    with after():
        row = recheck_all(shop=fleet.shop, why="All")
    first, *rest = RecheckPart.objects.filter(recheck=row)
    assert [part.total for part in [first, *rest]] == [2, 2, 1]
    assert advance_part(first.pk)
    assert not advance_part(first.pk)
    # A worker took the second part and was killed: its lease runs out and another takes it.
    RecheckPart.objects.claim(rest[0].pk)
    assert not advance_part(rest[0].pk)
    RecheckPart.objects.filter(pk=rest[0].pk).update(lease_until=timezone.now())
    assert [advance_part(part.pk) for part in rest] == [True, True]
    counted = Recheck.objects.counted().get(pk=row.pk)
    assert (counted.parts_left, counted.checked, counted.became_wrong) == (0, 5, 5)


RULES = [
    LATE,
    {"at_most": 0, "of": {"models": ["plover"]}, "when": {"kinds": ["switch"]}},
    {"same_release": {"kinds": ["display"]}},
    {"at_most": 1, "of": {"kinds": ["radar"], "min_release": {"heron": "3.1"}}},
    {"at_least": 1, "of": {"kinds": ["switch"]}, "when": {"models": ["heron"]}},
]


@pytest.mark.parametrize("seed", range(4))
def test_after_random_changes_it_is_as_if_all_boats_were_checked_anew(fleet, after, seed):
    dice = random.Random(seed)
    kinds = ["plover 1.0", "plover 2.0", "plover", "heron 3.0", "heron 3.1", "weir"]
    with after():
        for _ in range(8):
            fleet.boat(*dice.choices(kinds, k=dice.randrange(1, 4)))
    for turn in range(12):
        with after():
            random_change(fleet, dice, turn)
    kept = {row.boat_id: (row.state, row.reasons) for row in BoatStanding.objects.of(fleet.shop)}
    assert kept == same_as_full(shop=fleet.shop)


def random_change(fleet, dice, turn):
    act = dice.randrange(7)
    boat = dice.choice(fleet.boats)
    statement = Statement.objects.of(fleet.shop).in_force().order_by("?").first()
    unit = boat.units.order_by("pk").first()
    if act < 2 or statement is None:
        taken = {repr(rule) for rule in Statement.objects.values_list("rule", flat=True)}
        rule = next((r for r in RULES if repr(r) not in taken), None)
        if rule is not None:
            say(fleet, rule, code=f"S-{turn}")
    elif act == 2:
        retire_statement(statement=statement)
    elif act == 3:
        statement.rule = dice.choice(RULES)
        statement.save()
    elif act == 4 and unit is not None:
        unit.networked = dice.choice([True, False, None])
        unit.release = dice.choice([None, *unit.model.releases.all()])
        unit.save()
    elif act == 5:
        low, high = Release.objects.filter(model=fleet.display).order_by("rank")
        low.rank, high.rank, rank = 900 + turn, low.rank, high.rank
        low.save()
        high.save()
        low.rank = rank
        low.save()
    else:
        Boat.objects.filter(pk=boat.pk)
        boat.retired_at = None if boat.retired_at else timezone.now()
        boat.save()


def test_the_page_lists_the_newest_first_with_reasons(fleet, client_for, manager, after):
    with after():
        say(fleet, LATE)
    boats = []
    for _ in range(2):
        with after():
            boat = fleet.boat("plover 1.0", "heron")
        check_boats(shop=fleet.shop, boats=[boat.pk])
        boats.append(boat)
    page = client_for(manager).get(reverse("fleet:not_right"))
    assert [row.boat for row in page.context["page"]] == boats[::-1]
    assert "Stands against" in page.text
    assert "S-1" in page.text


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_takes_the_same_queries_at_any_length(
    fleet, client_for, manager, count, django_assert_max_num_queries, after
):
    boats = [fleet.boat("plover 1.0", "heron").pk for _ in range(count)]
    say(fleet, LATE)
    check_boats(shop=fleet.shop, boats=boats)
    client = client_for(manager)
    with django_assert_max_num_queries(10):
        page = client.get(reverse("fleet:not_right"))
    assert len(page.context["page"]) == count


def test_every_boat_is_checked_on_request_and_by_the_clock(fleet, client_for, manager, after):
    boat = fleet.boat("plover 1.0")
    with after():
        client_for(manager).post(reverse("fleet:recheck"))
    assert states(fleet) == {boat.pk: "right"}
    BoatStanding.objects.all().delete()
    with after():
        call_command("recheck")
    assert states(fleet) == {boat.pk: "right"}


def test_another_shops_boats_are_not_listed(fleet, client_for, stranger, technician, after):
    with after():
        say(fleet, LATE)
        fleet.boat("plover 1.0", "heron")
    page = client_for(stranger).get(reverse("fleet:not_right"))
    assert len(page.context["page"]) == 0
    assert client_for(technician).get(reverse("fleet:not_right")).status_code == 403
