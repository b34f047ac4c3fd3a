"""From an enquiry to a staged tote, with a shortage and a change order in between."""

import pytest
from django.core.management import call_command
from playwright.sync_api import Page, expect

from shopapp.boats.models import Boat
from shopapp.catalog.models import EquipmentModel
from shopapp.jobs.models import ChangeOrder, Document, Enquiry, Job, PickLine, Survey
from shopapp.jobs.totes import ALWAYS_IN_THE_TOTE
from shopapp.stock.models import StockItem
from shopapp.stock.services import book
from tests.browser.conftest import axe_findings, overflow, shot
from tests.browser.test_desk_way import answer
from tests.browser.test_whole_way import (
    accept_as_customer,
    boat,
    display_family,
    enter,
    people,
    quote_and_send,
    text_of,
)
from tests.jobs.store_world import explained

__all__ = ["boat", "people"]
CALL = "Could I see the chart from the bow as well?"
# Of each family: what is wished for, which the shelf has none of, and the like that it has.
WISHED = {
    "Lantern": ("Lantern 12 IV", "Lantern 16 IV"),
    "Fjeld": ("Fjeld 10 B", "Fjeld 12 C"),
    "Slateboard": ("Slateboard 9", "Slateboard 12"),
}
PLATE = "Backing plate behind the soft coaming"


@pytest.fixture
def wished(boat: Boat) -> tuple[EquipmentModel, EquipmentModel]:
    """The model that is short and the one that may stand in; of all else plenty is there."""
    short, other = (
        EquipmentModel.objects.select_related("part").get(shop=boat.shop, name=name)
        for name in WISHED[display_family(boat)]
    )
    for item in StockItem.objects.of(boat.shop):
        to_be = 0 if item.part_id == short.part_id else 20
        book(item, "adjust", on_hand=to_be - item.on_hand, reason="Laid out for the test")
    return short, other


def looked_at(page: Page, name: str) -> None:
    assert axe_findings(page) == []
    assert overflow(page) == 0
    shot(page, name)


def pick_from(page: Page, name: str, words: str) -> None:
    page.locator(f"[name={name}-typed]").fill(words)
    page.locator("[role=option]:visible").first.wait_for()
    page.keyboard.press("Enter")


def take_the_call(desk: Page, boat: Boat) -> Enquiry:
    desk.goto("/enquiries/")
    desk.get_by_role("link", name="Take down an enquiry").first.click()
    pick_from(desk, "customer", boat.customer.name)
    pick_from(desk, "boat", boat.name)
    desk.get_by_label("In the customer's words").fill(CALL)
    looked_at(desk, "tote-enquiry")
    desk.get_by_role("button", name="Save enquiry").click()
    expect(desk.get_by_text(CALL).first).to_be_visible()
    return Enquiry.objects.get()


def survey_the_boat(desk: Page, tablet: Page, enquiry: Enquiry) -> None:
    desk.goto(f"/enquiries/{enquiry.pk}/")
    desk.get_by_role("button", name="Make a survey sheet").click()
    expect(desk.get_by_text("fill it in here, or print it")).to_be_visible()
    survey = Survey.objects.get()
    tablet.goto(f"/surveys/{survey.pk}/")
    typed = survey.items.filter(form="words").first()
    answer(tablet, typed.pk, lambda card: card.get_by_label("Found").fill("12.7 V"))
    looked_at(tablet, "tote-survey")
    tablet.get_by_role("button", name="The visit is over").click()
    expect(tablet.get_by_text("Done by").first).to_be_visible()


def plan_the_wish(desk: Page, enquiry: Enquiry, model: EquipmentModel) -> None:
    desk.goto(f"/enquiries/{enquiry.pk}/")
    desk.get_by_role("link", name="Plan this").click()
    desk.locator("[name=wish-0-kind]").select_option("add")
    pick_from(desk, "wish-0-model", model.name)
    place = enquiry.boat.locations.order_by("pk").first().name
    desk.locator("[name=wish-0-location]").select_option(place)
    desk.get_by_role("button", name="Plan it").click()
    expect(desk.get_by_role("button", name="Make a quote")).to_be_visible()


def prove_another_model(
    counter: Page, job: Job, short: EquipmentModel, other: EquipmentModel
) -> None:
    """The counter asks the planner about the like; nothing is offered before the answer."""
    counter.goto("/store/?step=short")
    counter.get_by_role("link", name=job.number).click()
    looked_at(counter, "tote-short")
    counter.get_by_role("link", name=f"What may stand in? ({short.part.number})").click()
    expect(counter.get_by_role("button", name="Make a change order of it")).to_have_count(0)
    counter.get_by_role("button", name=f"Ask the planner ({other.name})").click()
    card = counter.locator(".proofs > li").filter(
        has=counter.get_by_role("heading", name=other.name)
    )
    expect(card.get_by_text("With", exact=True)).to_be_visible()
    expect(card).to_contain_text(other.part.number)
    looked_at(counter, "tote-proven")


def change_to_it(desk: Page, line: PickLine, other: EquipmentModel) -> ChangeOrder:
    """The desk makes a change order of the proof, with what was found besides."""
    desk.goto(f"/store/lines/{line.pk}/instead/")
    desk.get_by_role("button", name=f"Make a change order of it ({other.name})").click()
    desk.get_by_role("button", name="Change the job to this").first.click()
    desk.get_by_text("Add a line by hand").click()
    desk.locator("[name=words]").fill(PLATE)
    desk.locator("[name=minutes]").fill("45")
    desk.get_by_role("button", name="Add the line").click()
    expect(desk.get_by_role("cell", name=PLATE, exact=True)).to_be_visible()
    desk.get_by_role("button", name="Ready for the customer").click()
    expect(desk.get_by_text("Waits for a yes").first).to_be_visible()
    looked_at(desk, "tote-change")
    return ChangeOrder.objects.get()


def say_yes(phone: Page, change: ChangeOrder, other: EquipmentModel) -> None:
    phone.goto(f"/c/{change.token}/")
    expect(phone.get_by_text(other.name).first).to_be_visible()
    expect(phone.get_by_text(PLATE).first).to_be_visible()
    looked_at(phone, "tote-consent")
    phone.get_by_label("Your name").fill("A. Customer")
    phone.get_by_role("button", name="Yes, go on").click()
    expect(phone.get_by_text("by A. Customer").first).to_be_visible()


def pick_all(counter: Page, job: Job) -> None:
    """Scan each piece that is wanted, as a keyboard-wedge reader types it."""
    counter.goto(f"/store/jobs/{job.pk}/")
    box = counter.get_by_label("Scan or type")
    for line in lines_of(job):
        for count in range(line.picked + 1, line.wanted + 1):
            box.fill(line.part.number)
            counter.keyboard.press("Enter")
            said = f"{line.part.number} {line.part.name}: {count} of {line.wanted} picked"
            expect(counter.locator("#scan-said")).to_contain_text(said)
    assert all(line.picked == line.wanted for line in lines_of(job))


def lines_of(job: Job) -> list[PickLine]:
    rows = PickLine.objects.filter(pick_list__job=job, spare=False).select_related("part")
    return list(rows.order_by("position"))


def stage(counter: Page) -> None:
    counter.get_by_label("Totes").fill("1")
    for words in ALWAYS_IN_THE_TOTE.values():
        counter.get_by_label(words, exact=True).check()
    counter.get_by_role("button", name="Staged").click()
    expect(counter.get_by_text("1 tote staged")).to_be_visible()
    call_command("work", "--once")
    expect(counter.get_by_role("link", name="Open PDF").first).to_be_visible()
    looked_at(counter, "tote-staged")


def test_from_the_enquiry_to_the_staged_tote(new_page, people, boat, wished):
    short, other = wished
    desk = enter(new_page(), people, "wren")
    enquiry = take_the_call(desk, boat)
    survey_the_boat(desk, enter(new_page(width=820), people, "tobin"), enquiry)
    plan_the_wish(desk, enquiry, short)
    job = accept_as_customer(new_page(width=390), quote_and_send(desk))
    assert job.state == "waiting"
    line = next(line for line in lines_of(job) if line.short)
    assert line.part == short.part

    counter = enter(new_page(), people, "pip")
    prove_another_model(counter, job, short, other)
    change = change_to_it(desk, line, other)
    assert short.part in {line.part for line in lines_of(job)}  # nothing moves before the yes
    say_yes(new_page(width=390), change, other)

    wanted = {line.part for line in lines_of(job)}
    assert other.part in wanted
    assert short.part not in wanted
    pick_all(counter, job)
    stage(counter)
    job.refresh_from_db()
    assert (job.state, job.pick_lists.get().state) == ("ready", "staged")
    label = text_of(Document.objects.filter(job=job, kind="tote_label").latest("version"))
    assert other.part.number in label
    assert short.part.number not in label
    order = text_of(Document.objects.filter(job=job, kind="work_order").latest("version"))
    assert other.name in " ".join(order.split())
    assert explained(boat.shop)
