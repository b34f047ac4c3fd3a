"""1,000 entries over a line that drops, doubles, delays and reorders: each once, in its order."""

import os
import sqlite3
import time
import urllib.request
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from urllib.error import URLError

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from tests.factories.accounts import PASSWORD
from tests.fault.bad_line import BadLine, free_port
from tests.fault.desk import Desk, wait_until

CHROMIUM = os.environ.get("DESK_TEST_BROWSER", "/usr/bin/chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
ENTRIES = 1000
TARGETS = 25
SECONDS = 420

WORLD = f"""
import json

from shopapp.accounts.models import Shop
from tests.factories.accounts import UserFactory
from tests.jobs.work_world import Works
shop = Shop.objects.create(name="Line Bench")
writer = UserFactory(shop=shop, username="wanda", role="writer")
technician = UserFactory(shop=shop, username="theo", role="technician")
technician.set_password({PASSWORD!r})
technician.save()
works = Works(shop, writer, technician)
works.start()
print(json.dumps([works.job.pk, technician.pk]))
"""
# Through the page's own modules: what is tried is what the technician's tablet runs.
WRITE = """async ([job, count, targets]) => {
  const box = await import('/static/tablet/outbox.js');
  for (let number = 0; number < count; number += 20) {
    const rows = [...Array(20).keys()].map((place) => ({ kind: 'set',
      target: `trial:t${(number + place) % targets}`,
      body: { fields: { value: String(number + place).padStart(5, '0') }, base: {} } }));
    const [first, ...more] = rows;
    await box.write({ job, ...first, more });
  }
  return box.box.waiting;
}"""
PHOTO = """async (job) => {
  const box = await import('/static/tablet/outbox.js');
  const photos = await import('/static/tablet/photos.js');
  const canvas = document.createElement('canvas');
  canvas.width = canvas.height = 900;
  const ink = canvas.getContext('2d');
  const dots = ink.createImageData(900, 900);
  for (let place = 0; place < dots.data.length; place += 65536)
    crypto.getRandomValues(dots.data.subarray(place, place + 65536));
  for (let place = 3; place < dots.data.length; place += 4) dots.data[place] = 255;
  ink.putImageData(dots, 0, 0);
  const blob = await new Promise((done) => canvas.toBlob(done, 'image/jpeg', 0.9));
  const photo = await photos.photoOf(blob, { purpose: 'step:x' });
  await box.write({ job, kind: 'set', target: 'trial:photo',
    body: { fields: { note: 'with a photo' }, base: {} }, photos: [photo] });
  return blob.size;
}"""
SEND = """async () => {
  const box = await import('/static/tablet/outbox.js');
  await box.send().catch(() => {});
  return box.box.waiting + box.box.photos;
}"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    if not Path(CHROMIUM).exists():
        pytest.skip(f"no browser at {CHROMIUM}; name one in DESK_TEST_BROWSER")
    with sync_playwright() as play:
        chromium = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture
def served(desk: Desk) -> tuple[Desk, int, int]:
    """A desk with a begun job, answering on a port of its own: (desk, port, the job)."""
    job, _person = desk.tell(WORLD)
    port = free_port()
    desk.start("manage.py", "runserver", "--noreload", f"127.0.0.1:{port}")
    assert wait_until(lambda: answers(port), seconds=90)
    return desk, port, job


def answers(port: int) -> bool:
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/tab/", timeout=5) as answer:
            return answer.status == 200
    except (URLError, OSError):
        return False


def enter(page: Page, line: BadLine) -> None:
    line.bad = False
    page.goto(f"{line.address}/sign-in/?next=/tab/")
    page.get_by_label("Sign-in name").fill("theo")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.locator("html[data-ready]").wait_for(timeout=60_000)
    page.get_by_text("They work with no signal.").wait_for(timeout=60_000)


def send_all(page: Page) -> float:
    """Press "Send now" until nothing waits; the seconds it took."""
    begun = time.monotonic()
    while page.evaluate(SEND):
        assert time.monotonic() - begun < SECONDS
        page.wait_for_timeout(100)
    return time.monotonic() - begun


def asked(desk: Desk, question: str) -> list[tuple]:
    with closing(sqlite3.connect(desk.data / "desk.sqlite3", timeout=20)) as database:
        return database.execute(question).fetchall()


def count(desk: Desk) -> tuple[int, int]:
    """(lost, doubled): entries not stored, or stored twice; fields that do not hold their last."""
    values = asked(desk, "SELECT json_extract(body, '$.fields.value') FROM tablet_entry"
                         " WHERE kind = 'set' AND target LIKE 'trial:t%'")  # fmt: skip
    told = [value for (value,) in values]
    lost = ENTRIES - len(set(told))
    last = dict(asked(desk, "SELECT target, value FROM tablet_boatfact WHERE name = 'value'"))
    wanted = {f"trial:t{one % TARGETS}": f"{one:05}" for one in range(ENTRIES)}
    lost += sum(last.get(target) != value for target, value in wanted.items())
    photos = asked(desk, "SELECT state FROM tablet_photoupload")
    lost += photos.count(("receiving",)) + 2 - len(photos)
    return lost, len(told) - len(set(told)) + max(0, len(photos) - 2)


def in_order(desk: Desk) -> bool:
    """Whether every field's entries were written in the order in which they were made."""
    rows = asked(desk, "SELECT target, seq FROM tablet_entry WHERE outcome = 'taken'"
                       " AND target LIKE 'trial:t%' ORDER BY id")  # fmt: skip
    seen: dict[str, int] = {}
    for target, seq in rows:
        if seq < seen.get(target, 0):
            return False
        seen[target] = seq
    return True


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_line_that_drops_doubles_delays_and_reorders(served, browser, seed):
    desk, port, job = served
    line = BadLine(port, seed)
    page = browser.new_page()
    try:
        enter(page, line)
        line.bad = True
        sizes = [page.evaluate(PHOTO, job) for _ in range(2)]
        page.evaluate(WRITE, [job, ENTRIES, TARGETS])
        seconds = send_all(page)
    finally:
        page.close()
        line.close()
    lost, doubled = count(desk)
    fates = ", ".join(f"{number} {kind}" for kind, number in sorted(line.done.items()))
    tried = f"{ENTRIES} entries and 2 photos of {sum(sizes) // 1000} kB, seed {seed} ({fates})"
    print(f"\n{tried}, {seconds:.0f} s: lost {lost}, doubled {doubled}")
    assert (lost, doubled) == (0, 0)
    assert in_order(desk)
