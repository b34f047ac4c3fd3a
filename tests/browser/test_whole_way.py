"""The main job end to end, through the browser and the worker, on real PDFs."""

from datetime import date
from io import BytesIO
from pathlib import Path
from random import Random

import pytest
from django.conf import settings
from django.core.management import call_command
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from planner.engine import answer_case
from planner.loaders import build_case
from shopapp.boats.models import Boat, Evidence
from shopapp.demo.catalogue import make_catalogue
from shopapp.demo.fleet import make_fleet
from shopapp.demo.people import PASSWORD, make_people, make_shop, make_taxes
from shopapp.demo.reading import read_catalogue
from shopapp.jobs.models import Document, Job, Problem, Quote
from tests.browser.conftest import shot, sign_in

TODAY = date(2026, 6, 1)
WORDS_OF_TROUBLE = "Bow display missing in the list until power was cycled."


@pytest.fixture
def people(transactional_db):
    """The demo's shop, people, catalogue and three boats; no history yet."""
    random = Random(11)
    shop = make_shop()
    people = make_people(shop)
    make_taxes(shop, TODAY)
    make_catalogue(shop=shop, by=people["marta"], today=TODAY, random=random)
    catalogue = read_catalogue(shop=shop, by=people["tobin"], today=TODAY)
    make_fleet(shop=shop, catalogue=catalogue, boats=3, random=random)
    return people


@pytest.fixture
def boat(people):
    return Boat.objects.order_by("pk").first()


def enter(page: Page, people: dict, name: str) -> Page:
    sign_in(page, people[name], PASSWORD)
    return page


def display_family(boat: Boat) -> str:
    return boat.units.filter(model__kind="display").first().model.family.name


WISHED = {"Lantern": "Lantern 12 IV", "Fjeld": "Fjeld 10 B", "Slateboard": "Slateboard 9"}


def plan_a_display(page: Page, boat: Boat) -> None:
    page.goto(f"/boats/{boat.pk}/plan/")
    page.locator("[name=wish-0-kind]").select_option("add")
    page.locator("[name=wish-0-model-typed]").fill(WISHED[display_family(boat)])
    page.locator("[role=option]:visible").first.wait_for()
    page.keyboard.press("Enter")
    place = boat.locations.order_by("pk").first().name
    page.locator("[name=wish-0-location]").select_option(place)
    page.get_by_role("button", name="Plan it").click()
    expect(page.get_by_role("button", name="Make a quote")).to_be_visible()
    shot(page, "whole-way-options")


def quote_and_send(page: Page) -> Quote:
    page.get_by_role("button", name="Make a quote").click()
    page.get_by_role("button", name="Mark ready").click()
    sending = page.locator("form", has=page.get_by_role("button", name="Send quote"))
    if sending.get_by_role("checkbox").count():
        sending.get_by_role("checkbox").check()
    page.get_by_role("button", name="Send quote").click()
    expect(page.locator("main a[href*='/q/']").first).to_be_visible()
    return Quote.objects.get(state="sent")


def accept_as_customer(page: Page, quote: Quote) -> Job:
    page.goto(f"/q/{quote.token}/")
    shot(page, "whole-way-customer")
    form = page.locator("form", has=page.get_by_role("button", name="Accept this option"))
    form.get_by_role("radio").first.check()
    form.get_by_label("Your name").fill("A. Customer")
    form.get_by_role("checkbox").check()
    page.get_by_role("button", name="Accept this option").click()
    expect(page.get_by_text("A. Customer").first).to_be_visible()
    return Job.objects.get()


def make_papers_while_the_page_watches(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.pk}/")
    expect(page.get_by_text("requested").first).to_be_visible()
    call_command("work", "--once")
    expect(page.get_by_role("link", name="Open").first).to_be_visible(timeout=15000)
    states = Document.objects.filter(job=job).values_list("kind", "row_state")
    assert set(states) == {("work_order", "ready"), ("pick_list", "ready")}


def text_of(document: Document) -> str:
    file = Path(settings.MEDIA_ROOT) / document.file
    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(file.read_bytes())).pages)


def schedule(page: Page, job: Job, technician: str) -> None:
    ready = page.get_by_role("button", name="Mark ready")
    if ready.count():
        ready.click()
    page.goto(f"/jobs/{job.pk}/schedule/")
    page.get_by_label("Technician").select_option(label=technician)
    page.locator("[name=planned_on]").fill("2099-01-05")
    page.get_by_role("button", name="Put it on the board").click()
    expect(page.get_by_text("Scheduled").first).to_be_visible()


def let_it_start(page: Page, job: Job) -> None:
    """A manager says by name that the job may start, where something that decides is open."""
    page.goto(f"/jobs/{job.pk}/")
    why = page.get_by_label("Why it may start all the same")
    if why.count():
        why.fill("The owner is sure.")
        page.get_by_role("button", name="Let it start").click()
        expect(page.get_by_text("lets it start all the same").first).to_be_visible()


def answer_next(page: Page) -> bool:
    """Tick the next caution or answer the next step; False when nothing is open."""
    tick = page.get_by_role("button", name="Tick: it is so")
    did = page.get_by_role("button", name="Did it", exact=True)
    button = tick if tick.count() else did
    if not button.count():
        return False
    if button is did:
        fill_what_is_asked(page.locator("form", has=did).first)
    page.evaluate("document.querySelector('#work').dataset.old = 'yes'")
    with page.expect_response(lambda answer: "/steps/" in answer.url) as answered:
        button.first.click()
    assert answered.value.status == 200
    # The answer has come; the page has taken it when the old part is gone.
    expect(page.locator("#work[data-old]")).to_have_count(0)
    expect(page.locator("#work")).to_be_visible()
    return True


def fill_what_is_asked(form) -> None:
    reading = form.locator("input[name$=reading]")
    if reading.count():
        reading.first.fill("12.6")
    found = form.locator("input[name$=found]")
    if found.count():
        known = form.locator("datalist option")
        word = known.last.get_attribute("value") if known.count() else "SN-4711"
        found.first.fill(word)


def work_the_job(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.pk}/work/")
    begin = page.get_by_role("button", name="Start the job")
    if begin.count():
        begin.click()
        expect(page.get_by_role("button", name="Tick: it is so").first).to_be_visible()
    for _ in range(120):
        if not answer_next(page):
            break
        page.wait_for_load_state()
    shot(page, "whole-way-tablet")


def note_a_problem(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.pk}/problems/add/")
    page.locator("[name=symptom]").select_option("not_seen")
    page.locator("[name=words]").fill(WORDS_OF_TROUBLE)
    page.locator("main form button[type=submit]").first.click()
    expect(page.get_by_text(WORDS_OF_TROUBLE).first).to_be_visible()


def close(page: Page, job: Job) -> None:
    page.goto(f"/jobs/{job.pk}/work/close/")
    page.get_by_role("button", name="Close the job").click()
    expect(page.get_by_text(f"{job.number} is done").first).to_be_visible()


def test_from_the_call_to_the_boats_record(new_page, people, boat):
    before = boat.units.aboard().count()
    desk = enter(new_page(), people, "wren")
    plan_a_display(desk, boat)
    quote = quote_and_send(desk)

    job = accept_as_customer(new_page(width=390), quote)
    quote.refresh_from_db()
    assert (quote.state, quote.answered_by) == ("approved", "A. Customer")

    make_papers_while_the_page_watches(desk, job)
    order = text_of(Document.objects.get(job=job, kind="work_order"))
    assert job.number in order
    assert "Batteries, chargers and shore power off" in " ".join(order.split())
    picks = text_of(Document.objects.get(job=job, kind="pick_list"))
    for line in job.pick_lists.get().lines.select_related("part"):
        assert line.part.number in picks

    schedule(desk, job, "Tobin Reeve")
    let_it_start(enter(new_page(), people, "marta"), job)
    tablet = enter(new_page(width=820), people, "tobin")
    work_the_job(tablet, job)
    note_a_problem(tablet, job)
    close(tablet, job)

    job.refresh_from_db()
    assert job.state == "done"
    added = boat.units.aboard().get(fitted_under=job.number, model__kind="display")
    assert added.serial == "SN-4711"
    assert boat.units.aboard().count() > before
    assert Evidence.objects.filter(unit=added, fact="serial", job_number=job.number).exists()

    manager = enter(new_page(), people, "marta")
    manager.goto("/problems/")
    expect(manager.get_by_text(WORDS_OF_TROUBLE).first).to_be_visible()
    assert Problem.objects.get().boat == boat


def test_the_boat_as_built_needs_nothing_more(new_page, people, boat):
    desk = enter(new_page(), people, "wren")
    plan_a_display(desk, boat)
    job = accept_as_customer(new_page(width=390), quote_and_send(desk))
    desk.goto(f"/jobs/{job.pk}/")
    schedule(desk, job, "Tobin Reeve")
    let_it_start(enter(new_page(), people, "marta"), job)
    tablet = enter(new_page(width=820), people, "tobin")
    work_the_job(tablet, job)
    close(tablet, job)

    wishes = {"requests": [], "switches": {"models": [], "locations": [], "max_new": 0}}
    answer = answer_case(build_case(boat=Boat.objects.get(pk=boat.pk), wishes=wishes).case)
    assert answer["strategies"]["cheapest"]["total_cents"] == 0
