"""What goes wrong at the boat, with the words that the technician reads then."""

from datetime import timedelta

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from shopapp.accounts.services import end_sign_ins
from shopapp.jobs.services.scheduling import cancel_job, hold_job
from shopapp.tablet.models import Entry
from tests.browser.conftest import sign_in
from tests.browser.tablet_hands import everything_sent, open_job, start_job, take_along
from tests.factories.accounts import PASSWORD, UserFactory

TWO_DAYS_ON = """const right = Date.now.bind(Date);
Date.now = () => right() + 2 * 24 * 3600 * 1000;"""
PORTAL = "<!doctype html><title>Marina guest network</title><p>Accept the terms.</p>"


def tick(page, place=0):
    open_ones = page.locator(".caution:not(.ticked)")
    open_ones.nth(place).get_by_role("button", name="Tick: it is so").click()


def test_a_clock_two_days_wrong_is_told_and_the_times_are_put_right(new_tablet, works):
    page = new_tablet()
    page.add_init_script(TWO_DAYS_ON)
    take_along(page, works.technician)
    open_job(page)
    start_job(page)
    everything_sent(page)
    expect(page.locator("#strip")).to_contain_text(
        "This tablet's clock is 2 days off. Times are corrected when sent; set the clock."
    )
    assert timezone.now() - Entry.objects.get().made_at < timedelta(minutes=5)


def test_a_job_cancelled_meanwhile_says_so_and_keeps_what_was_entered(tablet, works):
    open_job(tablet)
    start_job(tablet)
    everything_sent(tablet)
    tablet.context.set_offline(True)
    tick(tablet)
    expect(tablet.locator('[data-waiting="1"]')).to_be_visible()
    manager = UserFactory(shop=works.shop, username="mona", full_name="Mona Reed", role="manager")
    works.job.refresh_from_db()
    hold_job(job=works.job, reason="Owner away", by=works.technician)
    works.job.refresh_from_db()
    cancel_job(job=works.job, reason="The boat was sold.", by=manager)
    tablet.context.set_offline(False)
    everything_sent(tablet)
    expect(tablet.get_by_text("This job is cancelled.")).to_be_visible()
    tablet.get_by_role("link", name="Look at them").click()
    told = "was cancelled by Mona Reed (The boat was sold.). Nothing more is written to it."
    expect(tablet.get_by_text(told)).to_be_visible()
    expect(tablet.get_by_text("Ask there whether the work still counts.")).to_be_visible()
    assert Entry.objects.get(kind="set").outcome == "refused"


def test_a_tablet_whose_sign_ins_are_ended_reads_and_sends_nothing_more(tablet, works):
    open_job(tablet)
    start_job(tablet)
    everything_sent(tablet)
    # Somebody carried the tablet off: its owner ends all sign-ins from the desk.
    end_sign_ins(user=works.technician)
    tick(tablet)
    expect(tablet.locator("#strip")).to_contain_text("You are signed out. What waits is kept.")
    statuses = tablet.evaluate(
        """job => Promise.all(['/api/tablet/jobs/', `/api/tablet/jobs/${job}/`, '/boats/photos/1/']
        .map((one) => fetch(one, { redirect: 'manual' }).then((answer) => answer.status)))""",
        works.job.pk,
    )
    assert [status for status in statuses if status == 200] == []
    assert Entry.objects.count() == 1
    tablet.get_by_role("link", name="Sign in to send it").click()
    sign_in(tablet, works.technician)
    tablet.goto("/tab/")
    everything_sent(tablet)
    assert Entry.objects.count() == 2


def test_another_person_on_the_tablet_does_not_send_what_is_not_theirs(tablet, works):
    second = UserFactory(shop=works.shop, username="tess", full_name="Tess Holm", role="technician")
    second.set_password(PASSWORD)
    second.save()
    open_job(tablet)
    start_job(tablet)
    everything_sent(tablet)
    tablet.context.clear_cookies()
    tick(tablet)
    expect(tablet.locator('[data-waiting="1"]')).to_be_visible()
    sign_in(tablet, second)
    tablet.goto("/tab/")
    expect(tablet.get_by_text("Tess Holm,")).to_be_visible()
    expect(tablet.locator("#strip")).to_contain_text("1 of another person, who must sign in here")
    assert Entry.objects.count() == 1


@pytest.mark.parametrize("status", [200, 404])
def test_a_marinas_own_page_in_between_counts_as_no_signal(tablet, works, status):
    open_job(tablet)
    answer = {"status": status, "content_type": "text/html", "body": PORTAL}
    tablet.context.route("**/api/tablet/**", lambda route: route.fulfill(**answer))
    start_job(tablet)
    expect(tablet.locator("#strip")).to_contain_text("No signal")
    expect(tablet.locator('[data-waiting="1"]')).to_be_visible()
    tablet.context.unroute("**/api/tablet/**")
    everything_sent(tablet)
    assert Entry.objects.get().outcome == "taken"


def test_a_desk_that_fails_is_told_and_tried_again(tablet, works):
    open_job(tablet)
    tablet.context.route("**/api/tablet/entries/", lambda route: route.fulfill(status=502))
    start_job(tablet)
    told = "The desk could not take the entries now (The desk answered 502.). They are kept"
    expect(tablet.locator("#strip")).to_contain_text(told)
    tablet.context.unroute("**/api/tablet/entries/")
    everything_sent(tablet)
    assert Entry.objects.get().outcome == "taken"


def test_a_press_that_began_before_the_page_was_drawn_anew_still_counts(tablet, works):
    open_job(tablet)
    start_job(tablet)
    everything_sent(tablet)
    tick(tablet)
    # The finger is down on the next caution while the answer to the one before comes in.
    last = tablet.locator(".caution:not(.ticked)").last.get_by_role("button", name="Tick: it is so")
    last.scroll_into_view_if_needed()
    place = last.bounding_box()
    tablet.mouse.move(place["x"] + 20, place["y"] + 20)
    tablet.mouse.down()
    everything_sent(tablet)
    tablet.mouse.up()
    expect(tablet.locator(".caution.ticked")).to_have_count(2)


# Every time that the job is read, an entry is acknowledged before the answer is looked at.
OVERTAKEN = """async (job) => {
  const { box, send, write } = await import('/static/tablet/outbox.js');
  const { jobNow, takeJob } = await import('/static/tablet/jobs.js');
  const real = window.fetch;
  let count = 0;
  window.fetch = async (address, options) => {
    const answer = await real(address, options);
    if (address === `/api/tablet/jobs/${job}/`) {
      count += 1;
      const body = { fields: { value: String(count) }, base: {} };
      await write({ job, kind: 'set', target: `trial:x${count}`, body });
      await send();
    }
    return answer;
  };
  await takeJob(job);
  window.fetch = real;
  const { values } = await jobNow(job);
  const kept = Array.from({ length: count }, (_, place) => values[`trial:x${place + 1}`]);
  return [box.waiting, kept.map((one) => one && Number(one.value))];
}"""


def test_a_job_read_before_an_entry_was_acknowledged_does_not_undo_it(tablet, works):
    open_job(tablet)
    start_job(tablet)
    everything_sent(tablet)
    waiting, kept = tablet.evaluate(OVERTAKEN, works.job.pk)
    assert waiting == 0
    assert kept == [1, 2, 3]


def test_the_keyboard_stays_about_where_it_was(tablet, works):
    open_job(tablet)
    start_job(tablet)
    first = tablet.locator(".caution").first
    key = first.get_attribute("data-step")
    first.get_by_role("button", name="Tick: it is so").press("Enter")
    expect(tablet.locator(".caution.ticked")).to_have_count(1)
    everything_sent(tablet)
    assert tablet.evaluate("document.activeElement.closest('[data-step]').dataset.step") == key
