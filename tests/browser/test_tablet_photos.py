"""Photos on the tablet: large files, torn files, a page that dies before they are saved."""

from playwright.sync_api import expect

from shopapp.boats.models import Photo
from shopapp.jobs.models import Job
from shopapp.tablet.models import Entry, PhotoUpload
from tests.browser.tablet_hands import (
    answer_now,
    everything_sent,
    go,
    now,
    open_job,
    photo_file,
    picture,
    start_job,
    tick_all,
)
from tests.factories.accounts import UserFactory

FORTY_MEGABYTES = 40_000_000


def ready_for_photos(tablet):
    open_job(tablet)
    start_job(tablet)
    tick_all(tablet)


def choose(tablet, file):
    now(tablet).locator("input[type=file]").first.set_input_files(file)


def test_a_file_of_forty_megabytes_that_is_no_picture_is_told(tablet, works, tmp_path):
    film = tmp_path / "film.jpg"
    film.write_bytes(b"x" * FORTY_MEGABYTES)
    ready_for_photos(tablet)
    choose(tablet, film)
    told = now(tablet).get_by_text("is no picture that the tablet can open")
    expect(told).to_be_visible()
    go(tablet, "Ports")
    go(tablet, "Steps")
    expect(told).to_be_visible()
    assert PhotoUpload.objects.count() == 0
    choose(tablet, photo_file())
    expect(now(tablet).locator(".thumbnails img")).to_be_visible()
    expect(told).to_have_count(0)


def test_a_picture_of_forty_megabytes_is_made_smaller_and_sent(tablet, works, tmp_path):
    large = tmp_path / "large.jpg"
    raw = picture(3000)
    large.write_bytes(raw + b"\0" * (FORTY_MEGABYTES - len(raw)))
    ready_for_photos(tablet)
    choose(tablet, large)
    expect(now(tablet).locator(".thumbnails img")).to_be_visible()
    answer_now(tablet)
    everything_sent(tablet)
    upload = PhotoUpload.objects.get()
    assert (upload.state, Photo.objects.count()) == ("ready", 1)
    assert upload.size < 5_000_000
    with Photo.objects.get().image.open() as file:
        assert len(file.read()) < 5_000_000


def test_a_photo_that_is_not_saved_yet_outlives_its_page(tablet, works):
    ready_for_photos(tablet)
    choose(tablet, photo_file())
    expect(now(tablet).locator(".thumbnails img")).to_be_visible()
    tablet.reload()
    expect(now(tablet).locator(".thumbnails img")).to_be_visible()
    answer_now(tablet)
    everything_sent(tablet)
    assert PhotoUpload.objects.get().state == "ready"
    tablet.reload()
    expect(now(tablet)).to_be_visible()
    expect(tablet.locator(".thumbnails img")).to_have_count(0)


def test_a_photo_taken_by_mistake_is_left_out(tablet, works):
    ready_for_photos(tablet)
    for _ in range(2):
        before = now(tablet).locator(".thumbnails img").count()
        choose(tablet, photo_file())
        expect(now(tablet).locator(".thumbnails img")).to_have_count(before + 1)
    now(tablet).get_by_role("button", name="Leave photo 1 out").click()
    expect(now(tablet).locator(".thumbnails img")).to_have_count(1)
    answer_now(tablet)
    everything_sent(tablet)
    assert PhotoUpload.objects.get().state == "ready"


def test_a_photo_for_a_job_given_away_stays_until_the_desk_takes_it(tablet, works, client):
    ready_for_photos(tablet)
    everything_sent(tablet)
    other = UserFactory(shop=works.shop, username="tess", full_name="Tess Holm", role="technician")
    Job.objects.filter(pk=works.job.pk).update(technician=other)
    choose(tablet, photo_file())
    expect(now(tablet).locator(".thumbnails img")).to_be_visible()
    answer_now(tablet)
    everything_sent(tablet)
    assert PhotoUpload.objects.count() == 0
    tablet.get_by_role("link", name="Look at them").click()
    card = tablet.locator(".card", has_text="Tess Holm's job now")
    expect(card.locator("img")).to_be_visible()
    client.force_login(works.writer)
    client.post(f"/entries/{Entry.objects.get(kind='photo').pk}/", {"do": "take"})
    tablet.reload()
    expect(tablet.get_by_role("heading", name="Not written")).to_be_visible()
    expect(tablet.get_by_role("heading", name="Photos that were not taken")).to_have_count(0)
    assert PhotoUpload.objects.get().state == "ready"


def test_a_photo_too_large_for_the_desk_is_shown_and_let_go(tablet, works, settings):
    ready_for_photos(tablet)
    everything_sent(tablet)
    choose(tablet, photo_file())
    expect(now(tablet).locator(".thumbnails img")).to_be_visible()
    settings.UPLOAD_LIMIT_BYTES = 1000
    answer_now(tablet)
    everything_sent(tablet)
    tablet.get_by_role("link", name="Look at them").click()
    expect(tablet.get_by_text("Take it again with the tablet's camera")).to_be_visible()
    tablet.get_by_role("button", name="Let photo 1 go").click()
    expect(tablet.get_by_role("heading", name="Photos that were not taken")).to_have_count(0)
    expect(tablet.get_by_role("link", name="Look at them")).to_have_count(0)
