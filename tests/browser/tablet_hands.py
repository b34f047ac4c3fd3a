"""What a technician's hands do on the tablet, for the browser tests."""

import io
import os
import signal
from pathlib import Path

from PIL import Image
from playwright.sync_api import BrowserContext, Locator, Page, expect

from shopapp.accounts.models import User
from tests.browser.door import CHROMIUM, FLAGS, sign_in


def picture(side: int = 600) -> bytes:
    out = io.BytesIO()
    Image.effect_noise((side, side), 90).convert("RGB").save(out, "JPEG", quality=90)
    return out.getvalue()


def photo_file() -> dict:
    return {"name": "dash.jpg", "mimeType": "image/jpeg", "buffer": picture()}


def launch(
    browser, folder: Path, address: str, *, offline: bool = False, more=()
) -> BrowserContext:
    """The tablet's own browser with its own disk."""
    return browser.browser_type.launch_persistent_context(
        str(folder),
        executable_path=CHROMIUM,
        args=[*FLAGS, *more],
        base_url=address,
        viewport={"width": 820, "height": 1180},
        offline=offline,
    )


def kill(folder: Path) -> int:
    """SIGKILL to the browser of this folder, and to nothing else; how many processes died."""
    dead = 0
    for entry in Path("/proc").iterdir():
        if not entry.name.isdigit():
            continue
        try:
            line = (entry / "cmdline").read_bytes()
        except OSError:
            continue
        if f"--user-data-dir={folder}".encode() in line.replace(b"\0", b" "):
            os.kill(int(entry.name), signal.SIGKILL)
            dead += 1
    return dead


def take_along(page: Page, user: User) -> None:
    """Sign in, and have the jobs and the shell on the tablet."""
    sign_in(page, user)
    page.goto("/tab/")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    expect(page.get_by_text("They work with no signal.")).to_be_visible(timeout=60_000)
    expect(page.locator(".job-list li").first).to_be_visible()


def open_job(page: Page) -> None:
    page.locator(".job-list a").first.click()
    expect(page.locator(".jump a[aria-current]")).to_have_text("Steps")


def go(page: Page, room: str) -> None:
    page.locator(".jump").get_by_role("link", name=room, exact=True).click()
    expect(page.locator(".jump a[aria-current]")).to_have_text(room)


def start_job(page: Page) -> None:
    page.get_by_role("button", name="Start the job").click()
    expect(page.get_by_role("button", name="Start the clock")).to_be_visible()


def tick_all(page: Page) -> None:
    open_ones = page.locator(".caution:not(.ticked)")
    while left := open_ones.count():
        open_ones.first.get_by_role("button", name="Tick: it is so").click()
        expect(open_ones).to_have_count(left - 1)


def now(page: Page) -> Locator:
    return page.locator(".work-steps > li.now")


def answer_now(page: Page, **more: str) -> None:
    """Answer the step whose turn it is, as planned unless `reading` is given."""
    step = now(page)
    key = step.get_attribute("data-step")
    reading = step.locator("input[id^=reading]")
    if reading.count():
        reading.fill(more.get("reading") or planned_reading(step))
    serial = step.locator("input[id^=found]")
    if serial.count():
        serial.fill(f"SN-{key.replace(':', '-')}")
    releases = step.locator(".pick-row button")
    if releases.count():
        releases.last.click()
    step.get_by_role("button", name="Did it", exact=True).click()
    if not more.get("reading"):
        expect(page.locator(f'.work-steps > li.answered[data-step="{key}"]')).to_have_count(1)


def planned_reading(step: Locator) -> str:
    words = step.locator(".expected b").inner_text()
    figures = [word.strip(",") for word in words.replace("–", " ").split()]
    numbers = [one for one in figures if one.replace(".", "", 1).isdigit()]
    return numbers[-1] if numbers else "13"


def answer_all(page: Page) -> None:
    while now(page).count():
        answer_now(page)


def everything_sent(page: Page) -> None:
    expect(page.locator("#strip")).to_contain_text("Everything is sent", timeout=60_000)


SMALL_TARGETS = """() => [
    ...document.querySelectorAll('a, button, input, select, textarea, summary')]
  .filter((node) => node.type !== 'hidden' && !node.classList.contains('out-of-sight')
    && node.checkVisibility({ visibilityProperty: true }))
  .map((node) => [node.outerHTML.slice(0, 120), node.getBoundingClientRect()])
  .filter(([, box]) => box.width > 0 && box.height > 0 && (box.height < 47.5 || box.width < 47.5))
  .map(([html, box]) => `${Math.round(box.width)}x${Math.round(box.height)} ${html}`)"""


def small_targets(page: Page) -> list[str]:
    """What can be pressed and is smaller than 48 by 48 pixels."""
    return page.evaluate(SMALL_TARGETS)
