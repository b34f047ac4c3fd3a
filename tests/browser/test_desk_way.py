"""From an enquiry to a noted deposit, through the browser: desk, tablet and telephone."""

import pytest
from django.core.management import call_command
from playwright.sync_api import Page, expect

from shopapp.boats.models import Boat, Evidence
from shopapp.jobs.models import Approval, Deposit, Enquiry, Letter, Quote, QuoteCheck, Survey
from shopapp.jobs.services.enquiries import take_enquiry
from tests.browser.conftest import axe_findings, overflow, shot
from tests.browser.test_whole_way import WISHED, display_family, enter, people

__all__ = ["people"]
WISH = "One more display, please, and will it fit what I have?"


@pytest.fixture
def boat(people):
    shop = people["wren"].shop
    shop.check_over_cents = 100
    shop.save()
    boat = Boat.objects.order_by("pk").first()
    boat.customer.email = "owner@example.com"
    boat.customer.save()
    return boat


@pytest.fixture
def enquiry(people, boat):
    row = Enquiry(customer=boat.customer, boat=boat, words=WISH)
    return take_enquiry(enquiry=row, by=people["wren"])


def make_the_sheet(desk: Page, enquiry: Enquiry) -> Survey:
    desk.goto(f"/enquiries/{enquiry.pk}/")
    desk.get_by_role("button", name="Make a survey sheet").click()
    expect(desk.get_by_text("fill it in here, or print it")).to_be_visible()
    return Survey.objects.get()


def fill_two_answers(tablet: Page, survey: Survey) -> None:
    """One by choosing; one is typed, survives a reload, and is kept."""
    tablet.goto(f"/surveys/{survey.pk}/")
    assert overflow(tablet) == 0
    assert axe_findings(tablet) == []
    shot(tablet, "desk-way-survey")
    chosen = next(one for one in survey.items.filter(form="choice") if len(one.choices) <= 6)
    answer(tablet, chosen.pk, lambda card: card.get_by_role("radio").first.check())
    typed = survey.items.filter(form="words").first()
    box = tablet.locator(f"#i{typed.pk}").get_by_label("Found")
    box.fill("12.4 V")
    tablet.reload()
    expect(box).to_have_value("12.4 V")
    answer(tablet, typed.pk, lambda card: None)
    expect(tablet.locator("#survey-count")).to_contain_text("2 of")


def answer(tablet: Page, pk: int, act) -> None:
    card = tablet.locator(f"#i{pk}")
    act(card)
    card.get_by_role("button", name="Keep the answer").click()
    expect(card).to_have_class("survey-item answered")


def plan_it(desk: Page, boat: Boat, enquiry: Enquiry) -> None:
    desk.goto(f"/enquiries/{enquiry.pk}/")
    desk.get_by_role("link", name="Plan this").click()
    desk.locator("[name=wish-0-kind]").select_option("add")
    desk.locator("[name=wish-0-model-typed]").fill(WISHED[display_family(boat)])
    desk.locator("[role=option]:visible").first.wait_for()
    desk.keyboard.press("Enter")
    place = boat.locations.order_by("pk").first().name
    desk.locator("[name=wish-0-location]").select_option(place)
    desk.get_by_role("button", name="Plan it").click()
    desk.get_by_role("button", name="Make a quote").click()
    desk.get_by_role("button", name="Mark ready").click()


def ask_for_the_second_look(desk: Page) -> Quote:
    expect(desk.get_by_role("button", name="Send quote")).to_have_count(0)
    desk.get_by_label("Why it is right all the same").fill("Priced from the list.")
    desk.get_by_role("button", name="Ask for the second look").click()
    return Quote.objects.get()


def pass_it(office: Page, quote: Quote) -> None:
    office.goto("/")
    office.get_by_role("link", name=f"{quote} {quote.boat.name}").first.click()
    office.get_by_label("Your word on it").fill("Compared with the list: right.")
    office.get_by_role("button", name="Pass it").click()
    expect(office.get_by_text("may go out").first).to_be_visible()


def send(desk: Page, quote: Quote) -> None:
    desk.goto(f"/quotes/{quote.pk}/")
    shot(desk, "desk-way-quote")
    sending = desk.locator("form", has=desk.get_by_role("button", name="Send quote"))
    if sending.get_by_role("checkbox").count():
        sending.get_by_role("checkbox").check()
    desk.get_by_role("button", name="Send quote").click()
    expect(desk.locator("main a[href*='/q/']").first).to_be_visible()
    call_command("work", "--once")
    expect(desk.locator(".letter-line").first).to_contain_text("sent")
    quote.refresh_from_db()


def ask_from_the_telephone(phone: Page, quote: Quote) -> None:
    phone.goto(f"/q/{quote.token}/")
    assert overflow(phone) == 0
    assert axe_findings(phone) == []
    shot(phone, "desk-way-customer")
    phone.get_by_label("Your question").fill("Is the lift in it?")
    phone.get_by_role("button", name="Send the question").click()
    expect(phone.locator(".talk")).to_contain_text("Is the lift in it?")
    expect(phone.get_by_text("Your question is sent.")).to_be_visible()
    expect(phone.get_by_label("Your question")).to_have_value("")


def answer_at_the_desk(desk: Page, quote: Quote) -> None:
    desk.goto(f"/quotes/{quote.pk}/")
    desk.get_by_label("Your answer, read by the customer").fill("No, the yard bills it.")
    desk.get_by_role("button", name="Send the answer").click()
    expect(desk.locator(".talk")).to_contain_text("the yard bills it")


def sign_on_the_telephone(phone: Page, quote: Quote) -> None:
    phone.reload()
    expect(phone.locator(".talk")).to_contain_text("the yard bills it")
    form = phone.locator("form", has=phone.get_by_role("button", name="Accept this option"))
    form.get_by_role("radio").first.check()
    form.get_by_label("Your name").fill("A. Customer")
    form.get_by_role("checkbox").check()
    phone.get_by_role("button", name="Accept this option").click()
    expect(phone.get_by_text("Proof of the PDF that was shown")).to_be_visible()
    assert overflow(phone) == 0
    shot(phone, "desk-way-signed")


def note_the_deposit(desk: Page, quote: Quote) -> None:
    desk.goto(f"/quotes/{quote.pk}/")
    desk.get_by_role("link", name="Note a deposit").click()
    desk.get_by_role("button", name="Note the deposit").click()
    expect(desk.get_by_text("The deposit is noted")).to_be_visible()


def test_from_the_enquiry_to_the_deposit(new_page, people, boat, enquiry, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    desk = enter(new_page(), people, "wren")
    survey = make_the_sheet(desk, enquiry)

    tablet = enter(new_page(width=820), people, "tobin")
    fill_two_answers(tablet, survey)
    tablet.get_by_role("button", name="The visit is over").click()
    expect(tablet.get_by_text("Done by").first).to_be_visible()
    assert Evidence.objects.filter(by=people["tobin"], note__startswith=survey.number).count() == 2

    plan_it(desk, boat, enquiry)
    quote = ask_for_the_second_look(desk)
    pass_it(enter(new_page(), people, "marta"), quote)
    send(desk, quote)
    assert QuoteCheck.objects.get().by == people["marta"]

    phone = new_page(width=390, is_mobile=True, has_touch=True)
    ask_from_the_telephone(phone, quote)
    answer_at_the_desk(desk, quote)
    sign_on_the_telephone(phone, quote)

    approval = Approval.objects.get()
    assert (approval.name, approval.way) == ("A. Customer", "page")
    assert approval.paper_digest == approval.paper.digest != ""
    assert set(Letter.objects.filter(quote=quote).values_list("about", flat=True)) == {
        "quote", "question", "answer", "accepted",
    }  # fmt: skip

    note_the_deposit(desk, quote)
    assert Deposit.objects.get().cents == approval.option.deposit_cents
    phone.reload()
    expect(phone.get_by_text("we have received it")).to_be_visible()
