"""What came of a call: who may be called lost, what must be said, and by whom."""

import pytest
from django.urls import reverse

from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.fleet.models import CampaignBoat
from shopapp.fleet.services.calling import ANSWERS, answers_for, note_answer
from shopapp.fleet.services.campaign_find import find_boats
from tests.fleet.campaign_world import campaign, lead_on, reachable, seen


@pytest.fixture
def row(fleet, manager):
    """An affected boat of a running campaign, nobody called yet."""
    lead_on(fleet)
    reachable(seen(fleet.boat()))
    running = campaign(fleet, manager)
    find_boats(campaign=running)
    return running.boats.get()


def say(row, said, by, **facts):
    row.refresh_from_db()
    return note_answer(row=row, said=said, by=by, seen=row.state, **facts)


def test_a_try_without_an_answer_only_counts(row, writer):
    row = say(row, "none", writer, way="phone")
    assert (row.state, row.tries) == ("not_told", 1)
    entry = row.entries.get()
    assert (entry.way, entry.by, entry.note) == ("phone", writer, "Not reached.")


def test_told_then_yes_then_who_said_it(row, writer):
    say(row, "told", writer, way="phone")
    row = say(row, "yes", writer, way="text", name="Rita Owner")
    assert (row.state, row.agreed, row.tries) == ("told", "Rita Owner", 2)
    assert row.told_at is not None


@pytest.mark.parametrize(
    ("said", "facts", "field"),
    [
        ("none", {}, "way"),
        ("told", {}, "way"),
        ("yes", {"way": "phone"}, "name"),
        ("declined", {}, "note"),
        ("sold", {}, "note"),
        ("has_it", {}, "note"),
        ("free", {}, "note"),
        ("done", {}, "note"),
        ("lost", {"note": "Rang"}, "said"),
    ],
)
def test_what_must_be_said_is_asked_for_and_nothing_changes(row, writer, said, facts, field):
    with pytest.raises(FactRefused) as refused:
        say(row, said, writer, **facts)
    assert refused.value.field == field
    row.refresh_from_db()
    assert (row.state, row.tries, row.entries.count()) == ("not_told", 0, 0)


def test_three_tries_in_one_way_are_not_enough(row, writer):
    for _ in range(3):
        say(row, "none", writer, way="phone")
    with pytest.raises(FactRefused, match="So far 3 tries in 1 way"):
        say(row, "lost", writer, note="Rang three times")


def test_three_tries_in_two_ways_may_be_called_lost(row, writer):
    for way in ("phone", "phone", "email"):
        say(row, "none", writer, way=way)
    row = say(row, "lost", writer, note="Rang twice, wrote once")
    assert (row.state, row.ended_note) == ("lost", "Rang twice, wrote once")


def test_looked_aboard_and_free_leaves_the_scope(row, writer):
    row = say(row, "free", writer, note="System page says 2.0")
    assert row.finding == "cleared"
    assert answers_for(row) == []
    assert row.campaign.boats.in_scope().count() == 0


def test_an_end_can_be_taken_up_again(row, writer):
    say(row, "declined", writer, note="Letter in file 7")
    row = say(row, "again", writer, note="Called back")
    assert (row.state, row.ended_at, row.ended_note) == ("not_told", None, "")


@pytest.mark.parametrize("said", sorted(set(ANSWERS) - {"again"}))
def test_nothing_else_is_said_of_a_boat_at_an_end(row, writer, said):
    say(row, "sold", writer, note="To a yard abroad")
    with pytest.raises(MoveRefused):
        say(row, said, writer, way="phone", name="Rita", note="Words")


def test_two_who_look_at_once_do_not_overwrite_each_other(row, writer, manager):
    say(row, "told", manager, way="phone")
    with pytest.raises(StaleRecord, match="Told"):
        note_answer(row=row, said="none", by=writer, seen="not_told", way="phone")


def test_the_page_shows_whom_to_call_and_writes_down_the_answer(row, client_for, writer):
    client = client_for(writer)
    page = client.get(reverse("fleet:campaign_boat", args=[row.pk]))
    assert "555-0100" in page.text
    facts = {"said": "yes", "way": "phone", "name": "Rita Owner", "note": "", "seen": "not_told"}
    answer = client.post(reverse("fleet:campaign_call", args=[row.pk]), facts)
    assert answer.status_code == 302
    row.refresh_from_db()
    assert row.agreed == "Rita Owner"


def test_the_page_keeps_what_was_typed_beside_what_is_missing(row, client_for, writer):
    facts = {"said": "declined", "way": "", "name": "", "note": "", "seen": "not_told"}
    page = client_for(writer).post(reverse("fleet:campaign_call", args=[row.pk]), facts)
    assert page.status_code == 422
    assert "Say where the writing is kept." in page.text


PAGES = ("bulletins", "bulletin_new", "bulletin", "campaign_works", "campaign_boat")
POSTS = ("campaign_press", "campaign_close", "campaign_call")


def address(name, row):
    if name in {"bulletins", "bulletin_new"}:
        return reverse(f"fleet:{name}")
    pk = row.pk if name in {"campaign_boat", "campaign_call"} else row.campaign.bulletin_id
    return reverse(f"fleet:{name}", args=[pk])


@pytest.mark.parametrize("name", [*PAGES[2:], *POSTS])
def test_another_shops_campaign_is_not_there(row, client_for, stranger, name):
    client = client_for(stranger)
    call = client.post if name in POSTS else client.get
    assert call(address(name, row)).status_code == 404


@pytest.mark.parametrize("name", [*PAGES, *POSTS])
def test_technicians_and_the_counter_do_not_run_campaigns(
    row, client_for, technician, parts_person, name
):
    for person in (technician, parts_person):
        client = client_for(person)
        call = client.post if name in POSTS else client.get
        assert call(address(name, row)).status_code == 403


@pytest.mark.parametrize("name", ["campaign_press", "campaign_close"])
def test_a_writer_calls_but_does_not_press(row, client_for, writer, name):
    assert client_for(writer).post(address(name, row)).status_code == 403


def test_a_manager_closes_with_a_reason(row, client_for, manager):
    client = client_for(manager)
    assert client.post(address("campaign_close", row), {"note": ""}).status_code == 422
    client.post(address("campaign_close", row), {"note": "The maker took over."})
    row.campaign.refresh_from_db()
    assert row.campaign.closed_note == "The maker took over."
    assert "The maker took over." in client.get(address("bulletin", row)).text


def test_pressed_with_nobody_to_write_to_it_says_so(row, client_for, manager):
    CampaignBoat.objects.update(state="told")
    page = client_for(manager).post(
        address("campaign_press", row), {"what": "letters"}, follow=True
    )
    assert "Every owner was told already." in page.text


@pytest.mark.parametrize("boats", [1, 3])
def test_the_campaigns_page_asks_a_fixed_number_of_queries(
    fleet, row, client_for, manager, boats, django_assert_num_queries
):
    for _ in range(boats - 1):
        reachable(seen(fleet.boat()))
    find_boats(campaign=row.campaign)
    client = client_for(manager)
    client.get(address("bulletin", row))
    with django_assert_num_queries(10):
        page = client.get(address("bulletin", row))
    assert len(page.context["page"]) == boats


def test_the_list_shows_how_far_each_is(row, client_for, manager):
    page = client_for(manager).get(address("bulletins", row), {"q": "restarts"})
    assert "0 of 1 done (0 %), 0 told" in page.text
