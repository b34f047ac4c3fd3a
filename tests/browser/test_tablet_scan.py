"""Codes by camera, from a photo, or typed; Chromium's own false camera holds a code up."""

import io

import pytest
import segno
from PIL import Image
from playwright.sync_api import expect

from tests.browser.tablet_hands import (
    answer_now,
    launch,
    now,
    open_job,
    picture,
    start_job,
    take_along,
    tick_all,
)

SERIAL = "SN-4711-0815"


def code_picture(kind: str) -> bytes:
    """The serial as a code in the middle of a picture of a camera's size."""
    drawn = io.BytesIO()
    segno.make(SERIAL, error="m", micro=False).save(drawn, kind="png", scale=8, border=4)
    ground = Image.new("RGB", (640, 480), "white")
    code = Image.open(drawn).convert("RGB")
    ground.paste(code, ((640 - code.width) // 2, (480 - code.height) // 2))
    out = io.BytesIO()
    ground.save(out, kind, quality=95)
    return out.getvalue()


@pytest.fixture
def camera(browser, live_server, works, tmp_path):
    """A tablet whose camera sees the code, with the job and the reader on it, and no signal."""
    film = tmp_path / "code.mjpeg"
    film.write_bytes(code_picture("JPEG"))
    flags = (
        "--use-fake-device-for-media-stream",
        "--use-fake-ui-for-media-stream",
        f"--use-file-for-fake-video-capture={film}",
    )
    context = launch(browser, tmp_path / "tablet", live_server.url, more=flags)
    page = context.pages[0]
    page.set_default_timeout(30_000)
    take_along(page, works.technician)
    page.reload()
    expect(page.locator("html[data-scanner=kept]")).to_have_count(1, timeout=60_000)
    context.set_offline(True)
    open_job(page)
    start_job(page)
    tick_all(page)
    while not now(page).locator("input[id^=found]").count():
        answer_now(page)
    yield page
    context.close()


def serial(page):
    return now(page).locator("input[id^=found]")


def test_a_serial_is_read_by_the_camera_with_no_signal(camera):
    now(camera).get_by_role("link", name="Read it by camera").click()
    expect(serial(camera)).to_have_value(SERIAL)


@pytest.fixture
def blind(tablet):
    """A tablet without a camera, at the reader's page for a unit's serial."""
    open_job(tablet)
    tablet.locator(".jump").get_by_role("link", name="As found").click()
    tablet.locator(".unit summary").first.click()
    tablet.locator(".unit").first.get_by_role("link", name="Read it by camera").click()
    expect(tablet.get_by_role("heading", name="Read a code")).to_be_visible()
    return tablet


def found_serial(page):
    return page.locator(".unit").first.get_by_label("Serial found")


def test_with_no_camera_a_photo_of_the_code_is_read(blind):
    expect(blind.locator("#said")).to_contain_text("type it below")
    nothing = {"name": "dash.jpg", "mimeType": "image/jpeg", "buffer": picture(300)}
    blind.locator("#photo").set_input_files(nothing)
    expect(blind.locator("#said")).to_contain_text("No code was found in this photo.")
    code = {"name": "code.png", "mimeType": "image/png", "buffer": code_picture("PNG")}
    blind.locator("#photo").set_input_files(code)
    expect(blind.locator(".jump a[aria-current]")).to_have_text("As found")
    expect(found_serial(blind)).to_have_value(SERIAL)


def test_a_code_may_be_typed(blind):
    blind.get_by_label("Or type it").fill("TYPED-9")
    blind.get_by_role("button", name="Use the typed code").click()
    expect(blind.locator(".jump a[aria-current]")).to_have_text("As found")
    expect(found_serial(blind)).to_have_value("TYPED-9")


def test_what_is_no_picture_is_told(blind):
    junk = {"name": "film.jpg", "mimeType": "image/jpeg", "buffer": b"x" * 1000}
    blind.locator("#photo").set_input_files(junk)
    expect(blind.locator("#said")).to_contain_text("could not be read as a picture")
