"""What recurs: counted by the worker, with how sure it is; every figure opens to its boats."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from shopapp.boats.models import Boat, Evidence
from shopapp.fleet.models import Tally
from shopapp.fleet.seeing import Period, sums_by_slice
from shopapp.fleet.services import tallies
from shopapp.fleet.services.tallies import advance_tally, ask_tally, current_tally, mark_of
from shopapp.insights import recurring
from shopapp.insights.comparing import compare
from shopapp.jobs.models import Job, Problem
from tests.fleet.world import Fleet

FLEET = "insights:fleet"


@pytest.fixture
def fleet(shop):
    return Fleet(shop)


def seen(boat, days=0):
    """The boat was looked at so many days ago."""
    at = timezone.now() - timedelta(days=days)
    Evidence.objects.create(boat=boat, fact="length_ft", value="22", how="seen", seen_at=at)
    return boat


def counted(fleet, months=12):
    tally, making = current_tally(shop=fleet.shop, months=months)
    assert making is None
    return tally


def row_of(tally, **names):
    blank = {"release": None, "counterpart": None, "switch": None}
    return tally.combinations.get(**blank | names)


def group_url(model, release=0, counterpart=0, switch=0):
    parts = [getattr(part, "pk", part) for part in (model, release, counterpart, switch)]
    return reverse("insights:group", args=parts)


def test_boats_looked_at_are_at_risk_and_others_are_not(fleet):
    fleet.note(seen(fleet.boat()))
    seen(fleet.boat())
    fleet.boat()
    seen(fleet.boat(), days=500)
    row = row_of(counted(fleet), model=fleet.display)
    assert (row.affected, row.at_risk) == (1, 2)


def test_counterpart_and_switch_are_what_the_boat_carries(fleet):
    fleet.note(seen(fleet.boat("plover 1.0", "heron 3.0", "weir")))
    seen(fleet.boat("plover 1.0", "heron 3.1"))
    seen(fleet.boat("plover 2.0", "weir"))
    tally = counted(fleet)
    assert row_of(tally, model=fleet.display).at_risk == 3
    assert row_of(tally, model=fleet.display, counterpart=fleet.radar).at_risk == 2
    assert row_of(tally, model=fleet.display, switch=fleet.switch).at_risk == 2
    both = row_of(tally, model=fleet.display, counterpart=fleet.radar, switch=fleet.switch)
    assert (both.affected, both.at_risk) == (1, 1)


def test_a_retired_boat_and_another_shops_are_not_counted(fleet, stranger):
    gone = seen(fleet.boat())
    Boat.objects.filter(pk=gone.pk).update(retired_at=timezone.now())
    other = Fleet(stranger.shop)
    other.note(seen(other.boat()))
    tally = counted(fleet)
    assert (tally.boats, tally.combinations.count()) == (0, 0)


def test_a_count_is_kept_until_a_note_or_a_boat_is_added(fleet):
    fleet.note(seen(fleet.boat()))
    first = counted(fleet)
    assert counted(fleet) == first
    fleet.note()
    second = counted(fleet)
    assert second != first
    assert list(Tally.objects.all()) == [first, second] or Tally.objects.count() <= 2


def test_a_large_fleet_is_counted_by_the_worker_and_the_old_count_stays_in_sight(
    fleet, monkeypatch, client_for, manager
):
    fleet.note(seen(fleet.boat()))
    old = counted(fleet)
    monkeypatch.setattr(tallies, "SMALL_FLEET", 0)
    fleet.note()
    newest, making = current_tally(shop=fleet.shop, months=12)
    assert (newest, making.row_state) == (old, "requested")
    again = ask_tally(shop=fleet.shop, months=12, mark=mark_of(fleet.shop))
    assert again == making
    page = client_for(manager).get(reverse(FLEET))
    assert "being counted anew" in page.text
    assert advance_tally(making.pk)
    assert not advance_tally(making.pk)
    state = client_for(manager).get(reverse("insights:making", args=[making.pk]))
    assert state.headers["HX-Refresh"] == "true"


def test_comebacks_are_counted_only_once_the_watch_is_over(fleet):
    boat = fleet.boat()
    now = timezone.now()
    for number, days in enumerate((200, 10)):
        Job.objects.create(
            shop=fleet.shop, boat=boat, customer=boat.customer, number=f"V-{number}",
            title="Visit", state="done", done_at=now - timedelta(days=days),
        )  # fmt: skip
    fleet.note(boat, at=now - timedelta(days=140))
    Job.objects.filter(number=f"J-{boat.pk}").update(done_at=now - timedelta(days=139))
    sums = sums_by_slice(fleet.shop, Period(12, timezone.localdate()))
    total = {
        name: sum(row.get(name, 0) for row in sums)
        for name in ("jobs", "watched30", "comebacks30", "watched90", "comebacks90")
    }
    # The job of 200 days ago came back after 60 days; that of 10 days ago is not watched yet.
    assert total == {
        "jobs": 3, "watched30": 2, "comebacks30": 0, "watched90": 2, "comebacks90": 1,
    }  # fmt: skip


def test_money_is_summed_with_what_came_back(fleet):
    facts = {"minutes_lost": 60, "lost_cents": 2000, "claimed_cents": 9000}
    fleet.note(seen(fleet.boat()), **facts, recovered_cents=7000)
    totals = recurring.totals_of(counted(fleet))
    all_cents = 2000 + fleet.shop.labour_cents_per_hour
    assert (totals["all_cents"], totals["back"]) == (all_cents, 7000)
    assert totals["back_percent"] == f"{100 * 7000 / all_cents:.1f}".removesuffix(".0")


@pytest.mark.parametrize("which", ["affected", "clear", "unknown"])
def test_every_figure_opens_to_its_boats(fleet, client_for, manager, which):
    there = {
        "affected": seen(fleet.boat("plover 1.0")),
        "clear": seen(fleet.boat("plover 1.0")),
        "unknown": seen(fleet.boat("plover")),
    }
    fleet.note(there["affected"])
    url = group_url(fleet.display, fleet.releases["1.0"])
    page = client_for(manager).get(url, {"boats": which}).context["page"]
    assert page.items == [there[which]]


def test_the_boats_behind_are_as_many_as_the_count_says(fleet):
    for number in range(7):
        boat = seen(fleet.boat("plover 1.0", *(["heron"] if number % 2 else [])))
        if number < 4:
            fleet.note(boat)
    tally = counted(fleet)
    period = Period(12, tally.ends_on)
    for row in tally.combinations.all():
        key = (row.model_id, row.release_id, row.counterpart_id, row.switch_id)
        affected = recurring.boats_behind(fleet.shop, key, period, "affected").count()
        clear = recurring.boats_behind(fleet.shop, key, period, "clear").count()
        assert (affected, affected + clear) == (row.affected, row.at_risk)


def test_below_five_boats_the_page_says_too_few_to_tell(fleet, client_for, manager):
    for _ in range(4):
        boat = seen(fleet.boat())
    fleet.note(boat)
    assert "Too few to tell" in client_for(manager).get(reverse(FLEET)).text
    assert "Too few to tell" in client_for(manager).get(group_url(fleet.display)).text
    seen(fleet.boat())
    assert "Too few to tell" not in client_for(manager).get(group_url(fleet.display)).text


def test_before_and_after_is_over_the_same_boats_and_the_same_watch(fleet):
    today = timezone.localdate()
    day = today - timedelta(days=100)
    now = timezone.now()
    watched = [seen(fleet.boat()) for _ in range(3)]
    fleet.boat()  # never looked at again
    for boat in fleet.boats:
        boat.units.update(fitted_on=today - timedelta(days=400))
    fresh = seen(fleet.boat())
    fresh.units.update(fitted_on=day)
    for boat in (watched[0], watched[1], fresh):
        fleet.note(boat, at=now - timedelta(days=150))
    fleet.note(watched[2], at=now - timedelta(days=50))
    found = compare(fleet.shop, model=fleet.display.pk, counterpart=None, day=day, days=90)
    assert (found.watched, found.before, found.after) == (3, 2, 1)
    assert found.before_words == "2 of 3: 66.7 % (20.8 to 93.9 %)"


@pytest.mark.parametrize(
    ("ago", "days", "words"), [(-3, 90, "still to come"), (10, 90, "not over yet")]
)
def test_a_watch_that_is_not_over_is_refused_in_words(fleet, client_for, manager, ago, days, words):
    fleet.note()
    day = timezone.localdate() - timedelta(days=ago)
    page = client_for(manager).get(group_url(fleet.display), {"day": day, "days": days})
    assert words in page.text


@pytest.mark.parametrize("count", [1, 3])
def test_the_fleet_page_takes_the_same_queries_at_any_length(
    fleet, client_for, manager, count, django_assert_max_num_queries
):
    for _ in range(count):
        fleet.note(seen(fleet.boat("plover 1.0", "heron 3.0", "weir")))
    client = client_for(manager)
    client.get(reverse(FLEET))
    with django_assert_max_num_queries(10):
        page = client.get(reverse(FLEET), {"show": "all"})
    assert len(page.context["rows"]) == 8


@pytest.mark.parametrize(
    ("role", "status"),
    [("manager", 200), ("owner", 200), ("writer", 200), ("technician", 403), ("parts_person", 403)],
)
def test_the_fleet_is_for_those_who_decide(client_for, request, role, status):
    client = client_for(request.getfixturevalue(role))
    assert client.get(reverse(FLEET)).status_code == status


def test_another_shops_combination_and_count_are_not_there(fleet, client_for, stranger):
    fleet.note(seen(fleet.boat()))
    tally = counted(fleet)
    client = client_for(stranger)
    assert client.get(group_url(fleet.display)).status_code == 404
    assert client.get(reverse("insights:making", args=[tally.pk])).status_code == 404


def test_a_note_without_a_model_is_said_to_be_left_out(fleet, client_for, manager):
    fleet.note(model=None, release=None)
    assert Problem.objects.filter(model=None).count() == 1
    assert "1 note without a model" in client_for(manager).get(reverse(FLEET)).text
