"""Entering a bulletin: what it marks, and what is refused in words."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from planner.models import Statement
from shopapp.errors import FactRefused
from shopapp.fleet.models import Bulletin
from shopapp.fleet.services.campaigns import close_campaign, open_campaign
from tests.factories.catalog import PartFactory
from tests.fleet.campaign_world import bulletin

TODAY = timezone.localdate()


def test_a_withdrawn_release_is_marked_in_the_catalogue(fleet, manager):
    row = bulletin(fleet, manager)
    row.release.refresh_from_db()
    assert row.release.withdrawn
    assert row.number == "B-1001"


def test_what_belongs_to_another_kind_is_dropped(fleet, manager, shop):
    row = bulletin(fleet, manager, part=PartFactory(shop=shop), serial_from="A1", minutes=5)
    assert (row.part, row.serial_from, row.minutes) == (None, "", 0)


@pytest.mark.parametrize(
    ("facts", "field", "words"),
    [
        ({"release": None}, "release", "Say which release it speaks of."),
        ({"kind": "recalled"}, "part", "Say which part it speaks of."),
        ({"kind": "rule"}, "statement", "Say which statement it speaks of."),
        (
            {"issued_on": TODAY + timedelta(days=1)},
            "issued_on",
            "It cannot be issued on a day to come.",
        ),
        (
            {"due_on": TODAY - timedelta(days=30)},
            "due_on",
            "It cannot be due before it was issued.",
        ),
    ],
)
def test_what_is_missing_or_the_wrong_way_round_is_said(fleet, manager, facts, field, words):
    with pytest.raises(FactRefused) as refused:
        bulletin(fleet, manager, **facts)
    assert (refused.value.field, refused.value.message) == (field, words)
    assert not Bulletin.objects.exists()


def test_nobody_is_urged_to_a_withdrawn_release(fleet, manager):
    bulletin(fleet, manager)
    fleet.releases["1.0"].refresh_from_db()
    with pytest.raises(FactRefused, match="nobody can be urged to it"):
        bulletin(fleet, manager, kind="urged")


@pytest.mark.parametrize(
    ("kind", "target", "words"),
    [
        ("withdrawn", "1.0", "1.0 is withdrawn: boats cannot be sent there."),
        ("withdrawn", "3.0", "3.0 is a release of Bench Heron."),
    ],
)
def test_boats_are_not_sent_to_a_wrong_release(fleet, manager, kind, target, words):
    with pytest.raises(FactRefused) as refused:
        bulletin(fleet, manager, kind=kind, target=fleet.releases[target])
    assert (refused.value.field, refused.value.message) == ("target", words)


def test_an_update_is_not_urged_backwards(fleet, manager):
    facts = {"release": fleet.releases["2.0"], "target": fleet.releases["1.0"]}
    with pytest.raises(FactRefused, match=r"1\.0 came out before 2\.0"):
        bulletin(fleet, manager, kind="urged", **facts)


def test_new_units_must_not_ship_with_what_is_withdrawn(fleet, manager):
    fleet.display.ships_with = fleet.releases["1.0"]
    fleet.display.save()
    with pytest.raises(FactRefused, match=r"ships with 1\.0"):
        bulletin(fleet, manager)


@pytest.mark.parametrize(
    ("serials", "field"),
    [(("LA-9", ""), "serial_to"), (("", "LA-9"), "serial_from"), (("LA-9", "LA-1"), "serial_to")],
)
def test_serials_come_in_pairs_and_in_order(fleet, manager, shop, serials, field):
    low, high = serials
    with pytest.raises(FactRefused) as refused:
        bulletin(
            fleet, manager, kind="recalled", part=PartFactory(shop=shop), serial_from=low,
            serial_to=high,
        )  # fmt: skip
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("rule", "gone", "words"),
    [
        ({"at_most": 0, "of": {"models": ["plover"]}}, True, "S-9 is retired."),
        (
            {"before": {"models": ["plover"]}, "then": {"models": ["heron"]}},
            False,
            "S-9 is an order of updates: no boat in service breaks it.",
        ),
    ],
)
def test_a_rule_must_be_in_force_and_breakable(fleet, manager, shop, rule, gone, words):
    statement = Statement.objects.create(
        shop=shop, code="S-9", text="Told", source="Guide", seen="2026-01-01", confidence="high",
        rule=rule, retired_at=timezone.now() if gone else None,
    )  # fmt: skip
    with pytest.raises(FactRefused, match="S-9") as refused:
        bulletin(fleet, manager, kind="rule", statement=statement, release=None)
    assert refused.value.message == words


def test_the_same_bulletin_is_not_run_twice_at_once(fleet, manager):
    first = open_campaign(bulletin=bulletin(fleet, manager), by=manager)
    with pytest.raises(FactRefused, match="B-1001 says the same"):
        bulletin(fleet, manager)
    close_campaign(campaign=first, by=manager, note="All done.")
    assert bulletin(fleet, manager).number == "B-1002"


@pytest.mark.parametrize(
    "facts",
    [
        {"release": None},
        {"payer": "nobody"},
        {"due_on": TODAY - timedelta(days=400)},
        {"serial_from": "A1"},
    ],
)
def test_the_database_holds_it_too(fleet, manager, facts):
    row = bulletin(fleet, manager)
    with pytest.raises(IntegrityError), transaction.atomic():
        Bulletin.objects.filter(pk=row.pk).update(**facts)


def test_the_form_enters_it_and_shows_its_boats(fleet, client_for, manager):
    facts = {
        "kind": "urged",
        "title": "Better radar tuning",
        "source": "Maker's note 12",
        "issued_on": (TODAY - timedelta(days=2)).isoformat(),
        "payer": "customer",
        "release": fleet.releases["2.0"].pk,
    }
    page = client_for(manager).post(reverse("fleet:bulletin_new"), facts)
    row = Bulletin.objects.get()
    assert page.headers["Location"] == reverse("fleet:bulletin", args=[row.pk])
    assert row.campaign.opened_by == manager


def test_the_form_keeps_what_was_typed_and_says_what_is_wrong(fleet, client_for, manager):
    facts = {
        "kind": "withdrawn",
        "title": "Restarts under load",
        "source": "Maker",
        "issued_on": (TODAY + timedelta(days=4)).isoformat(),
        "payer": "maker",
        "release": fleet.releases["1.0"].pk,
    }
    page = client_for(manager).post(reverse("fleet:bulletin_new"), facts)
    assert page.status_code == 422
    assert "It cannot be issued on a day to come." in page.text
    assert "Restarts under load" in page.text
