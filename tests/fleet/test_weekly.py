"""The weekly sheet: what it must not say, what it says, its paper, its letters, its clock."""

from datetime import UTC, date, datetime, timedelta
from io import BytesIO

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from planner.models import Statement
from shopapp.accounts.models import User
from shopapp.boats.models import Boat
from shopapp.fleet.models import Campaign, Recheck
from shopapp.fleet.services.campaign_find import find_boats
from shopapp.fleet.services.tallies import advance_tally, ask_tally, mark_of
from shopapp.fleet.services.weekly import (
    check_by_night,
    last_sunday,
    make_sheet,
    make_weekly_sheets,
)
from shopapp.fleet.weekly import facts_of_week
from shopapp.jobs.documents.files import paper_bytes
from shopapp.jobs.documents.making import render
from shopapp.jobs.models import Document, FleetSheet, Letter
from tests.factories.catalog import EquipmentModelFactory
from tests.factories.jobs import make_quote
from tests.fleet.campaign_world import campaign, seen

SUNDAY = date(2026, 11, 22)
MONDAY_NOON = datetime(2026, 11, 23, 17, tzinfo=UTC)


def at(day):
    return datetime(day.year, day.month, day.day, 18, tzinfo=UTC)


@pytest.mark.parametrize(
    ("day", "sunday"),
    [
        (date(2026, 11, 22), date(2026, 11, 15)),
        (date(2026, 11, 23), SUNDAY),
        (date(2026, 11, 28), SUNDAY),
    ],
)
def test_a_week_ends_on_sunday_and_is_over_on_monday(day, sunday):
    assert last_sunday(day) == sunday


def test_an_empty_week_says_none_and_not_known(fleet, shop):
    fleet.boat()
    facts = facts_of_week(shop, SUNDAY)
    assert (facts["rising"], facts["behind"], facts["stale"]) == ([], [], [])
    assert facts["counted_on"] == ""
    assert (facts["boats"], facts["notes"]) == (1, 0)


def test_notes_are_counted_in_their_own_week(fleet, shop):
    for day in (SUNDAY, SUNDAY - timedelta(days=6), SUNDAY - timedelta(days=7)):
        fleet.note(at=at(day))
    fleet.note(at=at(SUNDAY + timedelta(days=1)))
    facts = facts_of_week(shop, SUNDAY)
    assert (facts["notes"], facts["notes_before"]) == (2, 1)


def test_a_problem_rises_only_beyond_chance(fleet, shop):
    new = [fleet.note(at=at(SUNDAY - timedelta(days=n))) for n in range(6)]
    old = [fleet.note(at=at(SUNDAY - timedelta(days=30 + n))) for n in range(3)]
    more = [fleet.note(at=at(SUNDAY - timedelta(days=n)), symptom="water") for n in range(4)]
    fleet.known(*new, title="Really rising")
    fleet.known(*more, *old, title="By chance", symptom="water")
    facts = facts_of_week(shop, SUNDAY)
    assert facts["rising_looked"] == 2
    assert [(row["what"], row["now"], row["before"]) for row in facts["rising"]] == [
        ("K-1001 Really rising", 6, 0)
    ]
    assert facts["rising"][0]["chance"] == "3.1 %"


def test_what_stands_out_is_new_only_once(fleet, shop):
    for _ in range(8):
        fleet.note(fleet.boat("plover 1.0", "heron 3.0"), at=timezone.now())
    for _ in range(60):
        seen(fleet.boat("plover 2.0", "heron 3.1"))
    advance_tally(ask_tally(shop=shop, months=12, mark=mark_of(shop)).pk)
    first = facts_of_week(shop, SUNDAY)
    assert [row["affected"] for row in first["new_recurring"]] == [8]
    FleetSheet.objects.create(shop=shop, ends_on=SUNDAY, facts=first)
    assert facts_of_week(shop, SUNDAY + timedelta(days=7))["new_recurring"] == []


def test_a_campaign_past_its_day_is_behind(fleet, shop, manager):
    seen(fleet.boat())
    row = campaign(fleet, manager, due_on=timezone.localdate())
    find_boats(campaign=row)
    assert facts_of_week(shop, timezone.localdate())["behind"] == []
    (late,) = facts_of_week(shop, timezone.localdate() + timedelta(days=1))["behind"]
    assert (late["what"], late["done"], late["total"], late["not_told"]) == (
        "B-1001 Display restarts under load", 0, 1, 1,
    )  # fmt: skip


def test_a_quote_is_stale_by_a_new_statement_and_by_changed_records(shop, writer):
    quote = make_quote(writer)
    today = timezone.localdate()
    Boat.objects.update(facts_changed_at=quote.made_at - timedelta(days=1))
    assert facts_of_week(shop, today)["stale"] == []
    Boat.objects.update(facts_changed_at=quote.made_at + timedelta(seconds=1))
    (row,) = facts_of_week(shop, today + timedelta(days=1))["stale"]
    assert (row["quote"], row["why"]) == (
        str(quote), "the boat's records changed after it was made",
    )  # fmt: skip


def test_a_statement_of_the_week_makes_quotes_against_it_stale(shop, writer):
    quote = make_quote(writer)
    Boat.objects.update(facts_changed_at=quote.made_at - timedelta(days=1))
    model = quote.options.first().plan["units"][0]["model"]
    if not shop.models.filter(code=model).exists():
        EquipmentModelFactory(shop=shop, code=model)
    Statement.objects.create(
        shop=shop, code="S-77", text="Never", source="Own", seen=timezone.localdate(),
        confidence="high", rule={"at_most": 0, "of": {"models": [model]}},
    )  # fmt: skip
    (row,) = facts_of_week(shop, timezone.localdate() + timedelta(days=1))["stale"]
    assert row["why"] == "S-77 came into force and stands against it"


def test_the_clock_writes_each_week_once_with_paper_and_letters(fleet, shop, manager, writer):
    fleet.boat()
    User.objects.filter(pk__in=[manager.pk, writer.pk]).update(email="m@example.com")
    assert make_weekly_sheets(MONDAY_NOON) == 1
    assert make_weekly_sheets(MONDAY_NOON + timedelta(days=3)) == 0
    sheet = FleetSheet.objects.get()
    assert sheet.ends_on == SUNDAY
    assert Document.objects.get(sheet=sheet).kind == "weekly"
    letter = Letter.objects.get()
    assert letter.once == f"weekly-{shop.pk}-2026-11-22-{manager.pk}"
    assert letter.paper == Document.objects.get()
    assert "Campaigns behind: 0 of 0" in letter.body


def test_a_second_worker_at_the_same_moment_writes_nothing(fleet, shop):
    fleet.boat()
    assert make_sheet(shop=shop, ends_on=SUNDAY) is not None
    assert make_sheet(shop=shop, ends_on=SUNDAY) is None
    assert FleetSheet.objects.count() == Document.objects.count() == 1


def test_a_shop_without_boats_gets_no_sheet(shop):
    assert make_weekly_sheets(MONDAY_NOON) == 0


def test_the_paper_says_what_the_sheet_says(fleet, shop, manager):
    seen(fleet.boat())
    row = campaign(fleet, manager, due_on=timezone.localdate())
    find_boats(campaign=row)
    Campaign.objects.update(opened_at=timezone.now() - timedelta(days=9))
    sheet = make_sheet(shop=shop, ends_on=timezone.localdate() + timedelta(days=1))
    paper = Document.objects.get(sheet=sheet)
    assert render(paper.pk)
    paper.refresh_from_db()
    pages = PdfReader(BytesIO(paper_bytes(paper))).pages
    text = " ".join(page.extract_text() for page in pages)
    for words in ("Weekly sheet of the fleet", "Campaigns behind", "0 of 1", "over twelve months"):
        assert words in text


def test_by_night_every_boat_is_checked_once_a_day(fleet, shop):
    fleet.boat()
    Recheck.objects.all().delete()
    shop.time_zone = "UTC"
    shop.save()
    today = timezone.now().replace(hour=1, minute=0)
    assert check_by_night(today) == 0
    assert check_by_night(today.replace(hour=2, minute=1)) == 1
    assert Recheck.objects.get().why == "All boats, by the clock"
    Recheck.objects.update(asked_at=today.replace(hour=2, minute=1))
    assert check_by_night(today.replace(hour=23)) == 0
    assert check_by_night(today.replace(hour=3) + timedelta(days=1)) == 1


def test_the_page_lists_sheets_and_lets_a_manager_write_one(fleet, client_for, manager, writer):
    fleet.boat()
    assert client_for(writer).post(reverse("fleet:weekly_make")).status_code == 403
    client = client_for(manager)
    page = client.post(reverse("fleet:weekly_make"), follow=True)
    assert "being made" in page.text
    assert client.post(reverse("fleet:weekly_make")).status_code == 409


def test_papers_of_the_fleet_are_not_for_the_counter(fleet, client_for, shop, parts_person):
    fleet.boat()
    sheet = make_sheet(shop=shop, ends_on=SUNDAY)
    paper = Document.objects.get(sheet=sheet)
    client = client_for(parts_person)
    assert client.get(reverse("jobs:paper", args=[paper.pk])).status_code == 403
    assert client.get(reverse("fleet:weekly")).status_code == 403


@pytest.mark.parametrize("weeks", [1, 3])
def test_the_list_asks_a_fixed_number_of_queries(
    fleet, shop, client_for, manager, weeks, django_assert_num_queries
):
    fleet.boat()
    for n in range(weeks):
        make_sheet(shop=shop, ends_on=SUNDAY - timedelta(days=7 * n))
    client = client_for(manager)
    with django_assert_num_queries(9):
        page = client.get(reverse("fleet:weekly"))
    assert len(page.context["rows"]) == weeks
