"""A tablet on a thin line: 1 Mbit/s and 300 ms, by Chromium's own throttle."""

import time
from collections.abc import Iterator
from typing import Any
from unittest import mock

import pytest
from playwright.sync_api import CDPSession, Page, expect

from planner.engine.finding import read_network
from planner.engine.finding.finder import Finder
from planner.finding.answers import table_of
from shopapp.jobs.services.scheduling import schedule_job
from shopapp.tablet.models import Entry
from shopapp.tablet.services.foreseeing import advance_foreseen, ask_foreseen
from tests.bench.bench_finding import boats
from tests.browser.conftest import browser, new_page, sign_in  # noqa: F401
from tests.factories.accounts import PASSWORD, ShopFactory, UserFactory
from tests.fault.test_tablet_line import WRITE
from tests.jobs.work_world import Works, tomorrow

BITS, LATENCY_MS = 1_000_000, 300
ENTRIES = 1000
SEND = """async () => {
  const box = await import('/static/tablet/outbox.js');
  const begun = performance.now();
  while (box.box.waiting) await box.send();
  return performance.now() - begun;
}"""
PRESS = """() => {
  const begun = performance.now();
  const button = [...document.querySelectorAll('.caution button')][0];
  return new Promise((done) => {
    new MutationObserver((_, watch) => {
      if (!document.querySelector('.caution.ticked')) return;
      watch.disconnect();
      requestAnimationFrame(() => done(performance.now() - begun));
    }).observe(document.querySelector('main'), { childList: true, subtree: true });
    button.click();
  });
}"""

# From what was seen to causes and the next look, as the tablet does it with no signal.
FIND = """async ([table, seen]) => {
  const { causesOf, nextLook } = await import('/static/tablet/finder.js');
  const begun = performance.now();
  const found = causesOf(table, seen);
  nextLook(table, found.causes.length ? found.causes : table.causes, seen);
  return performance.now() - begun;
}"""


@pytest.fixture(scope="session", autouse=True)
def as_the_desk_serves_it() -> Iterator[None]:
    """Scripts through the desk's own middleware, not through the test server's short cut."""
    with mock.patch("django.contrib.staticfiles.handlers.StaticFilesHandler", lambda held: held):
        yield


@pytest.fixture
def works(transactional_db: Any) -> Works:
    shop = ShopFactory(name="Thin Line Bench")
    writer = UserFactory(shop=shop, username="wanda", role="writer")
    technician = UserFactory(shop=shop, username="theo", role="technician")
    technician.set_password(PASSWORD)
    technician.save()
    made = Works(shop, writer, technician)
    schedule_job(job=made.job, technician=technician, day=tomorrow(), by=writer)
    advance_foreseen(ask_foreseen(made.job).pk)
    return made


def throttle(page: Page) -> CDPSession:
    session = page.context.new_cdp_session(page)
    session.send("Network.enable")
    speed = BITS // 8
    session.send(
        "Network.emulateNetworkConditions",
        {"offline": False, "latency": LATENCY_MS, "downloadThroughput": speed,
         "uploadThroughput": speed},
    )  # fmt: skip
    return session


def test_a_tablet_on_a_thin_line(new_page, works):  # noqa: F811
    page = new_page(width=820)
    sign_in(page, works.technician)
    session = throttle(page)
    got: list[tuple[int, str]] = []
    seen: dict[str, str] = {}
    session.on(
        "Network.responseReceived",
        lambda one: seen.update({one["requestId"]: one["response"]["url"]}),
    )
    session.on(
        "Network.loadingFinished",
        lambda one: got.append((int(one["encodedDataLength"]), seen.get(one["requestId"], ""))),
    )
    begun = time.monotonic()
    page.goto(f"/tab/#/job/{works.job.pk}", wait_until="commit")
    expect(page.get_by_role("button", name="Start the job")).to_be_visible(timeout=60_000)
    usable = time.monotonic() - begun
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.wait_for_timeout(3000)
    total = sum(size for size, _ in got)
    print(f"\nfirst load of a job: usable after {usable:.1f} s, {total / 1000:.0f} kB in all")

    later = []
    for _ in range(5):
        begun = time.monotonic()
        page.reload(wait_until="commit")
        expect(page.get_by_role("button", name="Start the job")).to_be_visible()
        later.append(time.monotonic() - begun)
    print("later loads: " + ", ".join(f"{one * 1000:.0f} ms" for one in later))

    page.get_by_role("button", name="Start the job").click()
    expect(page.get_by_role("button", name="Start the clock")).to_be_visible()
    print(f"a press: {page.evaluate(PRESS):.0f} ms until it is on the disk and drawn")

    page.context.set_offline(True)
    begun = time.monotonic()
    page.evaluate(WRITE, [works.job.pk, ENTRIES, 25])
    print(f"{ENTRIES} entries written down in {time.monotonic() - begun:.1f} s")
    page.context.set_offline(False)
    throttle(page)
    page.evaluate("fetch('/api/tablet/me/')")
    sent = page.evaluate(SEND) / 1000
    expect(page.locator("#strip")).to_contain_text("Everything is sent", timeout=60_000)
    print(f"{ENTRIES} entries sent in {sent:.1f} s")
    assert Entry.objects.filter(kind="set").count() >= ENTRIES


def test_the_tablets_own_fault_finder(new_page, transactional_db):  # noqa: F811
    page = new_page(width=820)
    page.goto("/tab/")
    worst = {"one": 0.0, "pair": 0.0}
    for given in boats():
        finder = Finder(read_network(given))
        pair = (finder.causes[0], finder.causes[40])
        for name, causes in (("one", pair[:1]), ("pair", pair)):
            shown = finder.show(causes)
            seen = {
                key: value for key, value in shown.items() if value and finder.looks[key].at_first
            }
            worst[name] = max(worst[name], page.evaluate(FIND, [table_of(given), seen]))
    told = ", ".join(f"{name}: {took:.0f} ms" for name, took in worst.items())
    print(f"\nthe tablet's own finder, 20 units and 5 switches, worst of 20 boats: {told}")
