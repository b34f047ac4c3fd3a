"""Which boats a bulletin speaks of: what it must leave alone, then what it finds, then doubts."""

from datetime import timedelta

import pytest
from django.utils import timezone

from planner.models import Statement
from planner.standing import BROKEN, HOLDS, Aboard, judge
from planner.statements.queries import catalogue_of
from shopapp.boats.models import Unit
from shopapp.fleet.reach import boats_touched, found_among
from shopapp.fleet.serials import in_order, within_serials
from tests.factories.catalog import PartFactory
from tests.fleet.campaign_world import bulletin, seen


def findings(row):
    """Boat's number -> finding, for every boat that the bulletin could speak of."""
    return {one.boat: one.finding for one in found_among(row, boats_touched(row))}


def test_other_models_and_boats_out_of_service_are_left_alone(fleet, manager):
    seen(fleet.boat("heron 3.0"))
    seen(fleet.boat("plover 1.0", retired_at=timezone.now()))
    assert boats_touched(bulletin(fleet, manager)) == []


def test_a_unit_that_came_out_is_left_alone(fleet, manager):
    Unit.objects.filter(boat=seen(fleet.boat())).update(state="removed")
    assert boats_touched(bulletin(fleet, manager)) == []


def test_a_release_withdrawn_finds_just_that_release(fleet, manager):
    old, new = seen(fleet.boat("plover 1.0")), seen(fleet.boat("plover 2.0"))
    assert findings(bulletin(fleet, manager)) == {old.pk: "affected", new.pk: "cleared"}


def test_off_the_network_counts_too(fleet, manager):
    boat = seen(fleet.boat())
    Unit.objects.filter(boat=boat).update(networked=False)
    assert findings(bulletin(fleet, manager)) == {boat.pk: "affected"}


def test_an_update_urged_finds_all_that_are_below(fleet, manager):
    old, new = seen(fleet.boat("plover 1.0")), seen(fleet.boat("plover 2.0"))
    row = bulletin(fleet, manager, kind="urged", release=fleet.releases["2.0"])
    assert findings(row) == {old.pk: "affected", new.pk: "cleared"}


@pytest.mark.parametrize(
    ("units", "facts", "why"),
    [
        ("plover", {}, "Bench Plover at a release not known"),
        ("plover 1.0", {"days_ago": 400}, "release: seen 400 days ago"),
        ("plover 2.0", {"days_ago": 400}, "release: seen 400 days ago"),
        ("plover 1.0", {"how": "customer"}, "release: customer's word"),
        ("plover 2.0", {"how": "assumed"}, "release: assumed"),
    ],
)
def test_soft_or_missing_evidence_makes_a_boat_one_to_check(fleet, manager, units, facts, why):
    boat = seen(fleet.boat(units), **facts)
    (found,) = found_among(bulletin(fleet, manager), [boat.pk])
    assert (found.finding, found.why) == ("to_check", f"u0: {why}")


def test_what_was_seen_before_the_bad_release_came_out_clears_nobody(fleet, manager):
    release = fleet.releases["1.0"]
    release.released_on = timezone.localdate() - timedelta(days=5)
    release.save()
    early = seen(fleet.boat("plover 2.0"), days_ago=9)
    late = seen(fleet.boat("plover 2.0"), days_ago=2)
    assert findings(bulletin(fleet, manager)) == {early.pk: "to_check", late.pk: "cleared"}


def test_one_sure_unit_is_enough_beside_a_doubtful_one(fleet, manager):
    boat = fleet.boat("plover 1.0", "plover")
    seen(boat)
    (found,) = found_among(bulletin(fleet, manager), [boat.pk])
    assert (found.finding, len(found.units), found.why) == ("affected", 2, "")


def test_a_recalled_part_is_found_by_serial(fleet, manager, shop):
    part = PartFactory(shop=shop, number="EQ-PLOVER", kind="equipment")
    fleet.display.part = part
    fleet.display.save()
    boats = [seen(fleet.boat(), fact="model") for _ in range(4)]
    for boat, serial in zip(boats, ["LA-0100", "LA-0999", "", "XX-0100"], strict=True):
        Unit.objects.filter(boat=boat).update(serial=serial)
    row = bulletin(
        fleet, manager, kind="recalled", part=part, serial_from="LA-0050", serial_to="LA-0200"
    )
    expected = ["affected", "cleared", "to_check", "cleared"]
    assert findings(row) == dict(zip([boat.pk for boat in boats], expected, strict=True))


def test_a_recalled_adapter_is_found_where_one_is_noted(fleet, manager, shop):
    part = PartFactory(shop=shop, number="AD-7", kind="adapter")
    fleet.display.adapter = part
    fleet.display.save()
    with_one, without = fleet.boat(), fleet.boat()
    Unit.objects.filter(boat=with_one).update(adapters=1)
    row = bulletin(fleet, manager, kind="recalled", part=part)
    assert findings(row) == {with_one.pk: "affected"}
    assert without.pk not in boats_touched(row)


def test_a_recalled_lead_sends_somebody_to_read_its_number(fleet, manager, shop):
    part = PartFactory(shop=shop, number="LD-7", kind="lead")
    fleet.display.lead = part
    fleet.display.save()
    boat = fleet.boat()
    assert findings(bulletin(fleet, manager, kind="recalled", part=part)) == {boat.pk: "to_check"}


@pytest.fixture
def apart(shop, manager):
    """No display beside a radar."""
    return Statement.objects.create(
        shop=shop, code="S-7", text="Plover apart from Heron", source="Bulletin", seen="2026-01-01",
        confidence="high", entered_by=manager,
        rule={"at_most": 0, "of": {"models": ["plover"]}, "when": {"models": ["heron"]}},
    )  # fmt: skip


def test_a_changed_rule_finds_the_boats_that_break_it(fleet, manager, apart):
    broken = fleet.boat("plover 1.0", "heron 3.0")
    for fact in ("model", "release"):
        seen(broken, fact=fact)
    fleet.boat("plover 1.0")
    free = fleet.boat("heron 3.0")
    row = bulletin(fleet, manager, kind="rule", statement=apart, release=None)
    assert findings(row) == {broken.pk: "affected", free.pk: "cleared"}


def test_a_changed_rule_agrees_with_the_planners_own_judgement(fleet, manager, apart):
    made = [
        fleet.boat(*units)
        for units in (["plover 1.0", "heron 3.1"], ["heron 3.0"], ["heron", "weir"], ["plover 2.0"])
    ]
    row = bulletin(fleet, manager, kind="rule", statement=apart, release=None)
    found, catalogue = findings(row), catalogue_of(fleet.shop)
    for boat in made:
        units = Unit.objects.filter(boat=boat).select_related("model", "release")
        aboard = [Aboard(u.model.code, u.release and u.release.name, u.networked) for u in units]
        verdict = judge(apart.rule, aboard, catalogue)
        assert (found.get(boat.pk, "cleared") == "cleared") == (verdict == HOLDS)
        assert (found.get(boat.pk) in {"affected", "to_check"}) == (verdict == BROKEN)


@pytest.mark.parametrize(
    ("serial", "low", "high", "within"),
    [
        ("LA-5", "LA-1", "LA-9", True),
        ("la-10", "LA-1", "LA-9", False),
        ("XX-5", "LA-1", "LA-9", False),
        ("", "LA-1", "LA-9", None),
        ("LA-five", "LA-1", "LA-9", None),
        ("LA-5", "LA-1", "XX-9", None),
    ],
)
def test_serials_are_compared_by_letters_and_figure(serial, low, high, within):
    assert within_serials(serial, low, high) is within


def test_ends_of_serials_must_be_in_order():
    assert in_order("LA-1", "LA-1")
    assert not in_order("LA-2", "LA-1")
    assert not in_order("LA-2", "LB-3")
    assert not in_order("LA", "LA-3")


@pytest.mark.parametrize("boats", [1, 3])
def test_it_reads_in_a_fixed_number_of_queries(fleet, manager, boats, django_assert_num_queries):
    made = [seen(fleet.boat()).pk for _ in range(boats)]
    row = bulletin(fleet, manager)
    with django_assert_num_queries(5):
        found_among(row, made)
