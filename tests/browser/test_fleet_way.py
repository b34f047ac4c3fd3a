"""A technician's three notes become a problem, a statement, a bulletin with jobs; a quote obeys."""

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from shopapp.boats.models import Boat, Unit
from shopapp.fleet.models import Bulletin, CampaignBoat, KnownProblem, Lesson
from shopapp.jobs.models import Job, Problem, Quote
from tests.browser.conftest import axe_findings, overflow, shot, sign_in
from tests.factories.jobs import lay_catalogue
from tests.fleet.campaign_world import lead_on, reachable, seen
from tests.fleet.world import Fleet

WORDS = "Restarts when the motor goes to full, radar picture gone."


@pytest.fixture
def fleet(transactional_db, shop):
    """Three boats with the bad pair and a job each, a fourth to come, five that are right."""
    fleet = Fleet(shop)
    lay_catalogue(shop)
    lead_on(fleet)
    for _ in range(4):
        boat = fleet.boat("plover 1.0", "heron 3.0")
        for fact in ("release", "model", "networked"):
            seen(boat, fact=fact)
        reachable(boat)
    for _ in range(5):
        fleet.boat("plover 2.0")
    return fleet


@pytest.fixture
def jobs(fleet, technician):
    """A job on each of the first three boats, with the technician aboard."""
    return [
        Job.objects.create(
            shop=fleet.shop, boat=boat, customer=boat.customer, number=f"J-9{n}", title="Visit",
            state="done", done_at=timezone.now(), technician=technician,
        )
        for n, boat in enumerate(fleet.boats[:3])
    ]  # fmt: skip


def note_on(page: Page, job: Job) -> None:
    unit = Unit.objects.get(boat=job.boat, name="u0")
    page.goto(f"/jobs/{job.pk}/problems/add/?unit={unit.pk}")
    page.locator("[name=symptom]").select_option("reboots")
    page.locator("[name=words]").fill(WORDS)
    for name, word in (("unit", "u0"), ("counterpart", "Bench Heron")):
        box = page.locator(f"select[name={name}]")
        if box.count():
            value = box.locator("option", has_text=word).first.get_attribute("value")
            box.select_option(value)
    page.locator("main form button[type=submit]").first.click()
    expect(page.get_by_text("The problem is noted.")).to_be_visible()


def gather(page: Page) -> KnownProblem:
    note = Problem.objects.order_by("-pk").first()
    page.goto(f"/fleet/likeness/{note.pk}/make/")
    page.locator("[name=title]").fill("Display restarts beside the radar")
    page.get_by_role("button", name="Make it known").click()
    expect(page.get_by_role("heading", name="Display restarts beside the radar")).to_be_visible()
    shot(page, "fleet-way-known")
    return KnownProblem.objects.get()


def draft(page: Page, known: KnownProblem) -> Lesson:
    page.goto(f"/fleet/known/{known.pk}/draft/")
    page.locator("[name=code]").fill("S-900")
    page.locator("[name=text]").fill("Plover from 2.0 on beside Heron")
    page.get_by_role("button", name="Keep the draft").click()
    expect(page.get_by_text("You drafted it")).to_be_visible()
    return Lesson.objects.get()


def accept(page: Page, lesson: Lesson) -> None:
    page.goto(f"/fleet/drafts/{lesson.pk}/")
    expect(page.get_by_text("it can say something of 4")).to_be_visible()
    page.get_by_role("button", name="Put it in force").click()
    expect(page.get_by_text("every plan from now on obeys it")).to_be_visible()


def enter_bulletin(page: Page, lesson: Lesson) -> Bulletin:
    page.goto(f"/fleet/drafts/{lesson.pk}/")
    page.get_by_role("link", name="Call its boats in").click()
    expect(page.locator("[name=title]")).to_have_value("Plover from 2.0 on beside Heron")
    page.get_by_role("button", name="Enter and find its boats").click()
    expect(page.get_by_text("its boats are being found")).to_be_visible()
    return Bulletin.objects.get()


def call(page: Page, row: CampaignBoat) -> None:
    page.goto(f"/fleet/called-in/{row.pk}/")
    assert axe_findings(page) == []
    page.get_by_label("What came of it").select_option("yes")
    page.get_by_label("How").select_option("phone")
    page.get_by_label("Who said yes").fill("Rita Owner")
    page.get_by_role("button", name="Write it down").click()
    expect(page.get_by_text("Written down.")).to_be_visible()


def make_jobs(page: Page, bulletin: Bulletin) -> None:
    page.goto(f"/fleet/bulletins/{bulletin.pk}/")
    assert axe_findings(page) == []
    page.get_by_role("button", name="Make the jobs").click()
    expect(page.get_by_text("gets its quote, and its job")).to_be_visible()
    expect(page.get_by_text("Booked").first).to_be_visible()
    shot(page, "fleet-way-campaign")


def quote_for(page: Page, boat: Boat) -> Quote:
    page.goto(f"/boats/{boat.pk}/plan/")
    page.locator("[name=wish-0-kind]").select_option("keep")
    page.locator("[name=wish-0-unit]").select_option("u1")
    page.get_by_role("button", name="Plan it").click()
    expect(page.get_by_role("button", name="Make a quote")).to_be_visible()
    page.get_by_role("button", name="Make a quote").click()
    expect(page.get_by_role("button", name="Mark ready")).to_be_visible()
    return Quote.objects.filter(campaign_boat=None).latest("pk")


def test_from_three_notes_to_a_quote_that_obeys(
    new_page, fleet, jobs, technician, manager, owner, writer
):
    aboard = new_page(width=820)
    sign_in(aboard, technician)
    for job in jobs:
        note_on(aboard, job)
    desk = new_page()
    sign_in(desk, manager)
    known = gather(desk)
    assert known.gathered.count() == 3

    lesson = draft(desk, known)
    second = new_page()
    sign_in(second, owner)
    accept(second, lesson)
    bulletin = enter_bulletin(desk, lesson)
    rows = list(bulletin.campaign.boats.order_by("boat__name"))
    assert [row.boat for row in rows] == fleet.boats[:4]
    assert {row.finding for row in rows} == {"affected"}

    phone = new_page(width=820)
    sign_in(phone, writer)
    for row in rows[:3]:
        call(phone, row)
    make_jobs(desk, bulletin)
    assert Job.objects.filter(campaign_boat__in=rows).count() == 3
    desk.set_viewport_size({"width": 820, "height": 900})
    desk.goto(f"/fleet/bulletins/{bulletin.pk}/")
    assert overflow(desk) == 0

    quote = quote_for(phone, fleet.boats[3])
    option = quote.options.order_by("position").first()
    units = {unit["unit"]: unit for unit in option.plan["units"]}
    assert units["u0"]["networked"] is False or units["u0"]["release"] == "2.0"
