"""From an accepted quote through a change order to closed books, in the browser."""

import re

from playwright.sync_api import Page, expect

from shopapp.jobs.models import ChangeOrder, Job
from tests.browser.conftest import shot
from tests.browser.test_whole_way import (
    accept_as_customer,
    boat,
    close,
    enter,
    let_it_start,
    people,
    plan_a_display,
    quote_and_send,
    schedule,
    work_the_job,
)

__all__ = ["boat", "people"]
FOUND = "The panel is soft; a plate is needed behind it."


def change_the_job(page: Page, job: Job) -> ChangeOrder:
    page.goto(f"/jobs/{job.pk}/")
    page.get_by_role("link", name="Something changes the plan").click()
    page.locator("[name=found]").fill(FOUND)
    page.get_by_role("button", name="Plan the change").click()
    page.get_by_role("button", name="Change the job to this").first.click()
    page.get_by_text("Add a line by hand").click()
    page.locator("[name=words]").fill("Backing plate")
    page.locator("[name=minutes]").fill("45")
    page.get_by_role("button", name="Add the line").click()
    expect(page.get_by_role("cell", name="Backing plate", exact=True)).to_be_visible()
    shot(page, "change-draft")
    page.get_by_role("button", name="Ready for the customer").click()
    expect(page.get_by_text("Waits for a yes").first).to_be_visible()
    shot(page, "change-offered")
    return ChangeOrder.objects.get()


def say_yes(page: Page, change: ChangeOrder) -> None:
    page.goto(f"/c/{change.token}/")
    expect(page.get_by_text(FOUND)).to_be_visible()
    shot(page, "change-customer")
    page.get_by_label("Your name").fill("A. Customer")
    page.get_by_role("button", name="Yes, go on").click()
    expect(page.get_by_text("by A. Customer").first).to_be_visible()


def press(page: Page, job: Job, name: str) -> None:
    page.goto(f"/jobs/{job.pk}/")
    page.get_by_role("button", name=name, exact=True).click()


def with_words(page: Page, job: Job, name: str, words: str) -> None:
    page.goto(f"/jobs/{job.pk}/")
    page.get_by_role("link", name=name, exact=True).click()
    page.locator("[name=reason]").fill(words)
    page.get_by_role("button", name=name, exact=True).click()


def test_from_a_yes_through_a_change_to_closed_books(new_page, people, boat):
    desk = enter(new_page(), people, "wren")
    plan_a_display(desk, boat)
    job = accept_as_customer(new_page(width=390), quote_and_send(desk))
    desk.goto(f"/jobs/{job.pk}/")
    schedule(desk, job, "Tobin Reeve")
    manager = enter(new_page(), people, "marta")
    let_it_start(manager, job)

    tablet = enter(new_page(width=820), people, "tobin")
    tablet.goto(f"/jobs/{job.pk}/work/")
    tablet.get_by_role("button", name="Start the job").click()
    expect(tablet.get_by_role("button", name="Tick: it is so").first).to_be_visible()
    change = change_the_job(tablet, job)
    say_yes(new_page(width=390), change)
    change.refresh_from_db()
    assert (change.state, change.minutes) == ("agreed", 45)

    work_the_job(tablet, job)
    close(tablet, job)
    press(manager, job, "Mark checked")
    with_words(manager, job, "Hand over", "A. Customer")
    with_words(manager, job, "Mark billed", "B-1")
    press(manager, job, "Close the books")
    shot(manager, "change-closed-job")
    job.refresh_from_db()
    assert (job.state, job.handed_over_to, job.bill_number) == ("closed", "A. Customer", "B-1")


def test_a_job_is_moved_on_the_board_by_keys_alone(new_page, people, boat):
    desk = enter(new_page(), people, "wren")
    plan_a_display(desk, boat)
    job = accept_as_customer(new_page(width=390), quote_and_send(desk))
    desk.goto(f"/jobs/{job.pk}/")
    schedule(desk, job, "Tobin Reeve")
    desk.goto("/jobs/board/?week=2099-01-05")
    shot(desk, "board")
    desk.get_by_role("link", name=f"Move {job.number}").focus()
    desk.keyboard.press("Enter")
    expect(desk.get_by_text(f"Moving {job.number}")).to_be_visible()
    shot(desk, "board-moving")
    there = re.compile(r"Put here\s*: Tobin Reeve, 7 Jan 2099")
    desk.get_by_role("button", name=there).focus()
    desk.keyboard.press("Enter")
    expect(desk.get_by_text("7 Jan 2099").first).to_be_visible()
    job.refresh_from_db()
    assert job.planned_on.isoformat() == "2099-01-07"
