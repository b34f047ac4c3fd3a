"""Campaigns: boats found and found again, needs from the planner, letters, jobs once."""

import pytest
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from shopapp.boats.models import Unit
from shopapp.errors import MoveRefused
from shopapp.fleet.campaign_queries import is_behind, parts_of, progress_of
from shopapp.fleet.models import CampaignBoat, CampaignWork
from shopapp.fleet.services.calling import note_answer
from shopapp.fleet.services.campaign_jobs import make_for_boat
from shopapp.fleet.services.campaigns import (
    advance_work,
    ask_find,
    ask_work,
    close_campaign,
    find_all_again,
    open_campaign,
    rows_for,
)
from shopapp.jobs.models import Job, Letter, Quote
from shopapp.jobs.services.moves import move_job
from tests.factories.catalog import PartFactory
from tests.factories.jobs import lay_catalogue
from tests.fleet.campaign_world import campaign, lead_on, reachable, seen


@pytest.fixture
def now(django_capture_on_commit_callbacks):
    """Do what waits for the commit; what earlier lines of the test left waiting is forgotten."""

    def begin():
        connection.run_on_commit = []
        return django_capture_on_commit_callbacks(execute=True)

    return begin


@pytest.fixture
def running(fleet, manager, now):
    """A campaign with two affected boats and one to check; the display's update exists."""
    lead_on(fleet)
    for units, facts in (("plover 1.0", {}), ("plover 1.0", {}), ("plover", {})):
        reachable(seen(fleet.boat(units), **facts))
    seen(fleet.boat("plover 2.0"))
    with now():
        return campaign(fleet, manager)


def press(row, what, by, now):
    with now():
        return ask_work(campaign=row, what=what, rows=rows_for(row, what), by=by)


def say_yes(row, by, name="Rita Owner"):
    return note_answer(row=row, said="yes", by=by, seen=row.state, way="phone", name=name)


def test_opening_finds_every_boat_and_asks_what_each_needs(running):
    rows = running.boats.order_by("boat__name")
    assert [row.finding for row in rows] == ["affected", "affected", "to_check"]
    assert [row.minutes for row in rows] == [25, 25, 25]
    assert rows[0].needs["updates"] == ["u0: 1.0 → 2.0"]
    assert "Update Bench Plover (u0, console) at the boat from 1.0 to 2.0" in [
        step["title"] for step in rows[0].needs["steps"]
    ]
    running.refresh_from_db()
    assert (running.looked_at, running.cleared) == (4, 1)


def test_opened_twice_is_one_campaign(running, manager):
    assert open_campaign(bulletin=running.bulletin, by=manager) == running


def test_without_a_way_the_reason_is_kept_not_a_guess(fleet, manager, now):
    seen(fleet.boat())
    with now():
        row = campaign(fleet, manager)
    boat = row.boats.get()
    assert (boat.needs, boat.minutes) == (None, None)
    assert boat.needs_fault.startswith("The planner finds no way")


def test_an_exchanged_part_counts_pieces_minutes_and_stock(fleet, manager, shop, now):
    part = PartFactory(shop=shop, number="AD-7", kind="adapter", name="Adapter lead")
    fleet.display.adapter = part
    fleet.display.save()
    Unit.objects.filter(boat=fleet.boat("plover 1.0", "plover 1.0")).update(adapters=1)
    with now():
        row = campaign(fleet, manager, kind="recalled", part=part, release=None, minutes=15)
    boat = row.boats.get()
    assert (boat.finding, boat.minutes) == ("affected", 30)
    (needed,) = parts_of(row)
    assert (needed.part, needed.needed, needed.boats, needed.short) == (part, 2, 1, 2)


def test_found_again_a_new_boat_joins_and_one_put_right_leaves(fleet, running, manager, now):
    unit = Unit.objects.get(boat=fleet.boats[0])
    Unit.objects.filter(pk=unit.pk).update(release=fleet.releases["2.0"])
    late = seen(fleet.boat())
    with now():
        ask_find(campaign=running, by=manager)
    by_boat = dict(running.boats.values_list("boat", "finding"))
    assert by_boat[fleet.boats[0].pk] == "cleared"
    assert by_boat[late.pk] == "affected"


def test_a_saved_unit_is_judged_at_once(fleet, running, now):
    unit = Unit.objects.get(boat=fleet.boats[0])
    with now():
        unit.release = fleet.releases["2.0"]
        unit.save()
    assert running.boats.get(boat=fleet.boats[0]).finding == "cleared"


def test_what_people_ended_is_not_found_anew(fleet, running, manager, now):
    row = running.boats.get(boat=fleet.boats[0])
    note_answer(row=row, said="declined", by=manager, seen="not_told", note="Letter in file 7")
    Unit.objects.filter(boat=fleet.boats[0]).update(release=fleet.releases["2.0"])
    with now():
        ask_find(campaign=running, by=manager)
    row.refresh_from_db()
    assert (row.state, row.finding) == ("declined", "affected")


def test_by_the_clock_every_running_campaign_looks_again(running, manager, now):
    assert find_all_again() == 1
    close_campaign(campaign=running, by=manager, note="All done.")
    assert find_all_again() == 0


def test_letters_go_once_and_count_as_a_try(running, manager, now):
    press(running, "letters", manager, now)
    press(running, "letters", manager, now)
    assert Letter.objects.filter(about="campaign").count() == 3
    assert set(running.boats.values_list("tries", flat=True)) == {1}
    letter = Letter.objects.filter(about="campaign").first()
    assert "Display restarts under load." in letter.body
    assert "It costs you nothing." in letter.body


def test_without_an_address_the_boat_is_named_for_a_call(fleet, running, manager, now):
    customer = fleet.boats[0].customer
    customer.email = ""
    customer.save()
    (work,) = press(running, "letters", manager, now)
    work.refresh_from_db()
    assert work.made == 2
    assert work.left_out == [["Boat 000", "No e-mail address: call."]]


def test_only_a_yes_makes_a_job_and_it_costs_nothing(fleet, running, manager, now, shop):
    lay_catalogue(shop)
    assert rows_for(running, "jobs") == []
    row = say_yes(running.boats.get(boat=fleet.boats[0]), manager)
    press(running, "jobs", manager, now)
    row.refresh_from_db()
    job = Job.objects.get(campaign_boat=row)
    assert row.state == "booked"
    assert job.quote.state == "approved"
    assert job.option.total_cents == 0
    assert job.steps.filter(kind="update", unit_key="u0").count() == 1
    charged = job.option.lines.exclude(kind="credit")
    reasons = set(charged.values_list("discount_reason", flat=True))
    assert reasons == {"Paid by the maker, B-1001"}


def test_pressed_twice_makes_each_job_once(fleet, running, manager, now):
    for row in running.boats.all():
        say_yes(row, manager)
    press(running, "jobs", manager, now)
    for row in running.boats.all():
        assert not make_for_boat(row=row, by=manager)
    assert Job.objects.filter(campaign_boat__campaign=running).count() == 3
    assert Quote.objects.count() == 3


def test_where_the_customer_pays_a_quote_goes_first(fleet, manager, now):
    lead_on(fleet)
    seen(fleet.boat())
    with now():
        row = campaign(fleet, manager, payer="customer")
    boat = row.boats.get()
    note_answer(row=boat, said="told", by=manager, seen="not_told", way="phone")
    press(row, "jobs", manager, now)
    boat.refresh_from_db()
    assert (boat.state, boat.job) == ("told", None)
    assert boat.quote.state == "building"
    assert boat.quote.options.get().total_cents > 0


def test_what_cannot_be_made_is_told_and_the_others_are_made(fleet, running, manager, now):
    for row in running.boats.all():
        say_yes(row, manager)
    first = running.boats.first()
    CampaignBoat.objects.filter(pk=first.pk).update(needs=None, needs_fault="No way.")
    (work,) = ask_work(
        campaign=running, what="jobs", rows=running.boats.values_list("pk", flat=True), by=manager
    )
    advance_work(work.pk)
    work.refresh_from_db()
    assert work.made == 2
    assert [name for name, _ in work.left_out] == [first.boat.name]


@pytest.fixture
def booked(fleet, running, manager, now):
    row = say_yes(running.boats.get(boat=fleet.boats[0]), manager)
    press(running, "jobs", manager, now)
    row.refresh_from_db()
    return row


def test_a_job_done_is_a_boat_done(booked, manager):
    Job.objects.filter(pk=booked.job_id).update(state="on_job")
    move_job(job=Job.objects.get(pk=booked.job_id), after="done", by=manager)
    booked.refresh_from_db()
    assert booked.state == "done"
    far = progress_of([booked.campaign])[booked.campaign_id]
    assert (far.done, far.total, far.percent) == (1, 3, 33)


def test_a_cancelled_job_is_a_boat_to_book_again(booked, manager, now):
    move_job(job=Job.objects.get(pk=booked.job_id), after="cancelled", by=manager)
    booked.refresh_from_db()
    assert (booked.state, booked.job) == ("told", None)


def test_a_booked_boat_is_done_by_its_job_not_by_the_record(fleet, booked, manager, now):
    Unit.objects.filter(boat=booked.boat).update(release=fleet.releases["2.0"])
    with now():
        ask_find(campaign=booked.campaign, by=manager)
    booked.refresh_from_db()
    assert (booked.finding, booked.state) == ("affected", "booked")


def test_many_boats_are_left_to_the_workers_in_parts(running, manager, now):
    works = ask_work(campaign=running, what="needs", rows=range(1000, 1045), by=manager)
    assert [work.total for work in works] == [20, 20, 5]
    again = ask_work(campaign=running, what="needs", rows=range(1000, 1045), by=manager)
    assert again == []


def test_a_closed_campaign_does_nothing_more(running, manager):
    close_campaign(campaign=running, by=manager, note="All boats are at an end.")
    with pytest.raises(MoveRefused, match="closed"):
        ask_find(campaign=running, by=manager)
    with pytest.raises(MoveRefused, match="closed already"):
        close_campaign(campaign=running, by=manager, note="Again.")


def test_behind_is_past_its_day_or_slower_than_its_time(fleet, running):
    today = timezone.localdate()
    far = progress_of([running])[running.pk]
    assert not is_behind(running, far, today)
    running.bulletin.due_on = today
    assert not is_behind(running, far, today)
    assert is_behind(running, far, today + timezone.timedelta(days=1))
    running.bulletin.due_on = today + timezone.timedelta(days=10)
    assert is_behind(running, far, today + timezone.timedelta(days=5))


@pytest.mark.parametrize(
    "facts",
    [
        {"state": "booked"},
        {"state": "lost", "ended_at": timezone.now(), "ended_note": "No answer"},
        {"state": "declined", "ended_at": timezone.now()},
        {"state": "done"},
        {"ended_at": timezone.now()},
        {"finding": "perhaps"},
    ],
)
def test_the_database_holds_the_states(running, facts):
    with pytest.raises(IntegrityError), transaction.atomic():
        CampaignBoat.objects.filter(campaign=running).update(**facts)


def test_work_left_by_a_killed_worker_is_done_once(running, manager):
    work = CampaignWork.objects.create(
        shop=running.shop, campaign=running, what="letters", asked_by=manager,
        rows=list(running.boats.values_list("pk", flat=True)), total=3, row_state="running",
        lease_until=timezone.now() - timezone.timedelta(seconds=1),
    )  # fmt: skip
    assert advance_work(work.pk)
    assert not advance_work(work.pk)
    assert Letter.objects.filter(about="campaign").count() == 3
