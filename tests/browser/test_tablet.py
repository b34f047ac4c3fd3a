"""The tablet at the boat: real service worker, the network cut, the browser killed."""

from django.core.files.uploadedfile import SimpleUploadedFile
from playwright.sync_api import expect

from shopapp.boats.models import Evidence, Photo
from shopapp.boats.services.photos import add_photo
from shopapp.jobs.documents import making
from shopapp.jobs.models import Problem
from shopapp.jobs.services.papers import request_document
from shopapp.tablet.models import Entry, Foreseen, PhotoUpload
from tests.browser.conftest import axe_findings, shot, sign_in
from tests.browser.tablet_hands import (
    answer_all,
    answer_now,
    everything_sent,
    go,
    kill,
    launch,
    now,
    open_job,
    photo_file,
    start_job,
    take_along,
    tick_all,
)
from tests.factories.accounts import PASSWORD, UserFactory


def take_photo(place):
    place.locator("input[type=file]").first.set_input_files(photo_file())


def test_a_whole_job_with_no_signal_and_a_dead_browser(browser, live_server, works, tmp_path):
    folder = tmp_path / "tablet"
    context = launch(browser, folder, live_server.url)
    page = context.pages[0]
    take_along(page, works.technician)
    context.set_offline(True)
    page.reload()
    expect(page.locator("#strip")).to_contain_text("No signal")
    open_job(page)
    start_job(page)
    page.get_by_role("button", name="Start the clock").click()
    tick_all(page)
    take_photo(now(page))
    expect(now(page).locator(".thumbnails img")).to_be_visible()
    for _ in range(4):
        answer_now(page)
    half_done = page.locator(".work-steps > li.answered").count()
    waiting = int(page.locator("[data-waiting]").get_attribute("data-waiting"))
    assert Entry.objects.count() == 0
    shot(page, "tablet-offline")

    assert kill(folder) > 0
    context = launch(browser, folder, live_server.url, offline=True)
    page = context.pages[0]
    page.goto("/tab/")
    expect(page.locator(f'[data-waiting="{waiting}"]')).to_be_visible()
    open_job(page)
    expect(page.locator(".work-steps > li.answered")).to_have_count(half_done)
    answer_all(page)
    page.get_by_role("button", name="Stop the clock").click()
    page.locator("summary", has_text="Cannot go on?").wait_for()
    go(page, "Sheets")
    finish_sheets(page)
    expect(page.get_by_text("by Ada Finch")).to_be_visible()
    expect(page.get_by_text("a second technician or a manager checks")).to_be_visible()
    shot(page, "tablet-signed")
    queued = int(page.locator("[data-waiting]").get_attribute("data-waiting"))

    context.set_offline(False)
    # A browser killed so soon has not written its login down: what waits is kept for the next.
    enter_again(page, works.technician)
    everything_sent(page)
    refused = Entry.objects.exclude(outcome="taken").values_list("kind", "target", "message")
    assert list(refused) == []
    assert Entry.objects.count() == queued
    works.job.refresh_from_db()
    assert works.job.state == "done"
    assert works.job.boat_facts.get(target="sign:customer", name="name").value == "Ada Finch"
    assert works.job.steps.filter(state="todo").count() == 0
    assert sorted(PhotoUpload.objects.values_list("state", flat=True)) == ["ready", "ready"]
    assert Photo.objects.count() == 2
    added = works.world.boat.units.aboard().get(
        fitted_under=works.job.number, model__kind="display"
    )
    assert added.serial.startswith("SN-")
    assert Evidence.objects.filter(unit=added, fact="serial", job_number=works.job.number).exists()
    context.close()


def enter_again(page, user):
    signed_out = page.get_by_role("link", name="Sign in to send it")
    expect(signed_out.or_(page.get_by_text("Everything is sent"))).to_be_visible(timeout=60_000)
    if signed_out.count():
        signed_out.click()
        page.get_by_label("Sign-in name").fill(user.username)
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()


def finish_sheets(page):
    for name in ("punch", "trial"):
        points = page.locator(f'[data-point^="{name}"]')
        for place in range(points.count()):
            points.nth(place).get_by_role("button", name="Good", exact=True).click()
            expect(points.nth(place).locator("[aria-pressed=true]")).to_have_count(1)
    page.get_by_role("button", name="Close the work").click()
    box = page.locator("canvas.pad")
    box.scroll_into_view_if_needed()
    place = box.bounding_box()
    page.mouse.move(place["x"] + 40, place["y"] + 60)
    page.mouse.down()
    for step in range(1, 9):
        page.mouse.move(place["x"] + 40 + step * 30, place["y"] + 60 + (step % 2) * 40)
    page.mouse.up()
    page.get_by_role("button", name="Signed", exact=True).click()


IN_STORE = """address => fetch(address).then(async (answer) =>
  [answer.status, answer.headers.get('content-type'), (await answer.blob()).size])"""


def test_drawing_checks_photos_and_papers_lie_on_the_tablet(new_tablet, works):
    upload = SimpleUploadedFile("dash.jpg", photo_file()["buffer"])
    add_photo(boat=works.world.boat, upload=upload, by=works.writer, caption="Dash before")
    paper = request_document(kind="work_order", by=works.writer, job=works.job)
    making.render(paper.pk)
    page = new_tablet()
    take_along(page, works.technician)
    page.context.set_offline(True)
    page.reload()
    open_job(page)
    go(page, "Papers")
    expect(page.locator(".drawing svg")).to_be_visible()
    expect(page.get_by_text("Port map as a table")).to_be_visible()
    expect(page.locator("#power .badge").first).to_be_visible()
    expect(page.get_by_text("Parts in the tote")).to_be_visible()
    seen = page.get_by_role("img", name="Dash before")
    seen.scroll_into_view_if_needed()
    seen.evaluate("node => node.decode()")
    address = page.get_by_role("link", name="Work order, version").get_attribute("href")
    status, kind, size = page.evaluate(IN_STORE, address)
    assert (status, kind, size > 5000) == (200, "application/pdf", True)


def test_an_answer_lost_after_the_server_stored_it_makes_no_second_one(tablet, works):
    lost = []

    def lose(route):
        if not lost:
            lost.append(route.fetch().status)
            route.abort()
        else:
            route.continue_()

    tablet.context.route("**/api/tablet/entries/", lose)
    open_job(tablet)
    start_job(tablet)
    expect(tablet.locator("#strip")).to_contain_text("No signal")
    assert lost == [200]
    assert Entry.objects.count() == 1
    everything_sent(tablet)
    assert Entry.objects.count() == 1


def test_a_lost_login_keeps_what_waits_until_somebody_signs_in(tablet, works):
    open_job(tablet)
    start_job(tablet)
    everything_sent(tablet)
    tablet.context.clear_cookies()
    tablet.locator(".caution").first.get_by_role("button", name="Tick: it is so").click()
    expect(tablet.locator("#strip")).to_contain_text("You are signed out. What waits is kept.")
    expect(tablet.locator('[data-waiting="1"]')).to_be_visible()
    assert Entry.objects.count() == 1
    enter_again(tablet, works.technician)
    everything_sent(tablet)
    assert Entry.objects.count() == 2


def test_signing_out_with_entries_that_wait_warns_and_keeps_them(tablet, works):
    open_job(tablet)
    tablet.context.route("**/api/tablet/entries/", lambda route: route.abort())
    tablet.get_by_role("button", name="Start the job").click()
    expect(tablet.locator('[data-waiting="1"]')).to_be_visible()
    tablet.get_by_role("link", name="All my jobs").click()
    tablet.locator("summary", has_text="Sign out").click()
    expect(tablet.get_by_text("1 entry and 0 photos are not sent yet.")).to_be_visible()
    tablet.context.unroute("**/api/tablet/entries/")
    tablet.get_by_role("button", name="Sign out, and keep what waits").click()
    expect(tablet.get_by_label("Sign-in name")).to_be_visible()
    sign_in(tablet, works.technician)
    tablet.goto("/tab/")
    everything_sent(tablet)
    assert Entry.objects.get().kind == "start"


def note(page, words):
    now(page).locator("summary", has_text="Add a note").click()
    now(page).locator("textarea[id^=note]").fill(words)


FULL = """() => { IDBObjectStore.prototype.add = () => {
  throw new DOMException('no room', 'QuotaExceededError'); }; }"""


def test_a_full_storage_says_so_and_keeps_what_was_typed(tablet, works):
    open_job(tablet)
    start_job(tablet)
    tick_all(tablet)
    everything_sent(tablet)
    tablet.evaluate(FULL)
    note(tablet, "Typed before it was full")
    now(tablet).get_by_role("button", name="Did it", exact=True).click()
    expect(tablet.locator("#alerts")).to_contain_text("storage is full: nothing was saved")
    expect(now(tablet).locator("textarea[id^=note]")).to_have_value("Typed before it was full")
    tablet.reload()
    expect(now(tablet).locator("textarea[id^=note]")).to_have_value("Typed before it was full")


def test_a_reading_out_of_range_opens_the_fault_finder(tablet, works):
    open_job(tablet)
    start_job(tablet)
    tick_all(tablet)
    everything_sent(tablet)
    while not now(tablet).locator("input[id^=reading]").count():
        answer_now(tablet)
    tablet.context.set_offline(True)
    now(tablet).locator("input[id^=reading]").fill("9.1")
    expect(now(tablet).locator(".verdict")).to_contain_text("too")
    answer_now(tablet, reading="9.1")
    expect(tablet.get_by_role("heading", name="Fault finder")).to_be_visible()
    expect(tablet.get_by_text("Next:").first).to_be_visible()
    tablet.get_by_label("What kind").select_option("reboots")
    tablet.get_by_label("What was seen, in your words").fill("Restarts when the pump runs")
    tablet.get_by_role("button", name="Note the problem").click()
    tablet.context.set_offline(False)
    everything_sent(tablet)
    assert Problem.objects.get().words == "Restarts when the pump runs"


def test_what_is_found_is_judged_at_once_with_no_signal(tablet, works):
    open_job(tablet)
    tablet.context.set_offline(True)
    go(tablet, "As found")
    answers = [one for one in Foreseen.objects.get().answers if one["verdict"] != "stands"]
    worst = next(one for one in answers if one["fact"] == "release")
    card = tablet.locator(".unit", has=tablet.get_by_role("heading", name=worst["unit"]))
    card.locator("summary").click()
    card.get_by_role("button", name=worst["value"], exact=True).click()
    expect(tablet.get_by_role("alert").filter(has_text=worst["text"])).to_be_visible()
    tablet.get_by_role("button", name="Ask for a change order").click()
    expect(tablet.get_by_role("heading", name="Change orders asked for")).to_be_visible()
    shot(tablet, "tablet-found")
    go(tablet, "Steps")
    expect(tablet.get_by_text("What was found differs from the plan.")).to_be_visible()
    tablet.context.set_offline(False)
    everything_sent(tablet)
    assert works.job.boat_facts.filter(target__startswith="ask:", name="words").count() == 1


def test_two_values_for_one_field_are_shown_with_both_and_decided(tablet, works, new_tablet):
    second = UserFactory(shop=works.shop, username="tess", full_name="Tess Holm", role="technician")
    second.set_password(PASSWORD)
    second.save()
    works.job.helpers.create(user=second)
    open_job(tablet)
    start_job(tablet)
    tick_all(tablet)
    everything_sent(tablet)
    other = new_tablet()
    take_along(other, second)
    open_job(other)
    other.context.set_offline(True)
    note(other, "SN-OTHER")
    now(other).get_by_role("button", name="Did it", exact=True).click()
    note(tablet, "SN-FIRST")
    now(tablet).get_by_role("button", name="Did it", exact=True).click()
    everything_sent(tablet)
    other.context.set_offline(False)
    everything_sent(other)
    other.get_by_role("link", name="Look at them").click()
    expect(other.locator(".clash")).to_contain_text("SN-FIRST by Theo Marsh")
    expect(other.locator(".clash")).to_contain_text("SN-OTHER by Tess Holm")
    shot(other, "tablet-clash")
    assert axe_findings(other) == []
    other.get_by_role("button", name="Take “SN-OTHER”").click()
    expect(other.locator(".clash")).to_have_count(0)
    assert works.job.steps.filter(note="SN-OTHER").count() == 1


def test_a_new_build_waits_for_a_press(tablet, works, monkeypatch):
    monkeypatch.setattr("shopapp.tablet.shell.DRAWING_STYLES", ())
    tablet.evaluate("navigator.serviceWorker.getRegistration('/tab/').then((one) => one.update())")
    offer = tablet.get_by_text("A new version of this page is here.")
    expect(offer).to_be_visible(timeout=60_000)
    before = tablet.evaluate("document.documentElement.dataset.build")
    tablet.get_by_role("button", name="Reload to use it").click()
    expect(tablet.locator(f'html[data-ready]:not([data-build="{before}"])')).to_have_count(1)


def test_the_desks_page_of_what_came_from_the_boat(new_page, works):
    page = new_page()
    sign_in(page, works.writer)
    page.goto(f"/jobs/{works.job.pk}/boat-side/")
    expect(page.get_by_role("heading", name="Punch list")).to_be_visible()
    shot(page, "tablet-desk")
    assert axe_findings(page) == []
