"""Every page of the tablet in its busiest state, and what is measured there."""

from collections.abc import Iterator

from playwright.sync_api import Page, expect

from shopapp.jobs.models import Job
from shopapp.tablet.models import Clash, Entry, Foreseen
from tests.browser.tablet_hands import (
    answer_now,
    everything_sent,
    go,
    now,
    open_job,
    photo_file,
    start_job,
    tick_all,
)
from tests.factories.accounts import UserFactory
from tests.jobs.work_world import Works

OPEN_ALL = "document.querySelectorAll('details').forEach((part) => { part.open = true; })"
# Every piece of text against what lies behind it, by WCAG's own formula; none is let off for size.
PALE = """() => {
  const read = (text) => {
    const [r, g, b, a = 1] = text.match(/[\\d.]+/g).map(Number);
    return [r, g, b, a];
  };
  const over = (top, under) => [0, 1, 2]
    .map((part) => top[part] * top[3] + under[part] * (1 - top[3])).concat(1);
  const behind = (node) => {
    const layers = [];
    for (let at = node; at; at = at.parentElement) {
      layers.unshift(read(getComputedStyle(at).backgroundColor));
    }
    return layers.reduce((under, top) => over(top, under), [255, 255, 255, 1]);
  };
  const channel = (value) => {
    const part = value / 255;
    return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
  };
  const light = ([r, g, b]) => 0.2126 * channel(r) + 0.7152 * channel(g) + 0.0722 * channel(b);
  const found = [];
  const words = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (words.nextNode()) {
    const [node, text] = [words.currentNode.parentElement, words.currentNode.data.trim()];
    if (!text || node.closest('svg, noscript, option, :disabled, .out-of-sight')) continue;
    if (!node.checkVisibility({ visibilityProperty: true, opacityProperty: true })) continue;
    const ground = behind(node);
    const [one, other] = [light(over(read(getComputedStyle(node).color), ground)), light(ground)];
    const ratio = (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05);
    if (ratio < 7) found.push(`${ratio.toFixed(2)} ${text.slice(0, 60)}`);
  }
  return found;
}"""


def pale_texts(page: Page) -> list[str]:
    """Pieces of text whose contrast with their ground is under 7:1."""
    return page.evaluate(PALE)


def tour(page: Page, works: Works) -> Iterator[str]:
    """Walk through all pages; each name is given when its page stands."""
    yield from _before_start(page)
    yield from _as_found(page)
    yield from _at_the_steps(page)
    yield from _port_by_port(page)
    yield from _other_pages(page)
    yield from _after_work(page, works)
    yield from _what_was_not_written(page, works)
    yield from _outside_of_a_job(page, works)


def _all_open(page: Page) -> None:
    page.evaluate(OPEN_ALL)


def _before_start(page: Page) -> Iterator[str]:
    _all_open(page)
    yield "list"
    open_job(page)
    yield "scheduled"
    start_job(page)
    page.get_by_role("button", name="Start the clock").click()
    expect(page.get_by_role("button", name="Stop the clock")).to_be_visible()
    _all_open(page)
    yield "cautions"


def _at_the_steps(page: Page) -> Iterator[str]:
    go(page, "Steps")
    tick_all(page)
    now(page).locator("input[type=file]").first.set_input_files(photo_file())
    expect(now(page).locator(".thumbnails img")).to_be_visible()
    now(page).get_by_role("button", name="Could not", exact=True).click()
    expect(now(page).get_by_text("Say in the note why it was not done.")).to_be_visible()
    _all_open(page)
    yield "step"
    while not now(page).locator("input[id^=reading]").count():
        answer_now(page)
    now(page).locator("input[id^=reading]").fill("9.1")
    expect(now(page).locator(".verdict.out")).to_be_visible()
    yield "reading"
    answer_now(page, reading="9.1")
    expect(page.get_by_role("heading", name="Fault finder")).to_be_visible()
    _all_open(page)
    yield "finder"
    page.get_by_role("link", name="Back to the steps").click()
    expect(page.locator(".jump a[aria-current]")).to_have_text("Steps")


def _as_found(page: Page) -> Iterator[str]:
    go(page, "As found")
    answers = [one for one in Foreseen.objects.get().answers if one["verdict"] != "stands"]
    worst = next(one for one in answers if one["fact"] == "release")
    card = page.locator(".unit", has=page.get_by_role("heading", name=worst["unit"]))
    card.locator("summary").click()
    card.get_by_role("button", name=worst["value"], exact=True).click()
    expect(page.get_by_role("button", name="Ask for a change order")).to_be_visible()
    page.get_by_role("button", name="Ask for a change order").click()
    expect(page.get_by_role("heading", name="Change orders asked for")).to_be_visible()
    _all_open(page)
    yield "found"


def _port_by_port(page: Page) -> Iterator[str]:
    go(page, "Ports")
    _all_open(page)
    for port in page.locator(".port").all()[:2]:
        port.get_by_role("button", name="dark", exact=True).click()
        expect(port.locator("[aria-pressed=true]")).to_have_count(1)
    _all_open(page)
    yield "ports"


def _other_pages(page: Page) -> Iterator[str]:
    go(page, "Papers")
    expect(page.locator(".drawing svg")).to_be_visible()
    _all_open(page)
    yield "papers"
    go(page, "Sheets")
    page.locator("[data-point]").first.get_by_role("button", name="Not good").click()
    expect(page.get_by_text("Say why in the note.")).to_be_visible()
    _all_open(page)
    yield "sheets"


def _after_work(page: Page, works: Works) -> Iterator[str]:
    go(page, "Steps")
    while now(page).count():
        answer_now(page)
    go(page, "Sheets")
    points = page.locator('[data-point^="punch"]')
    for place in range(points.count()):
        points.nth(place).get_by_role("button", name="Good", exact=True).click()
        expect(points.nth(place).locator("[aria-pressed=true]")).to_have_count(1)
    page.get_by_role("button", name="Close the work").click()
    expect(page.locator("canvas.pad")).to_be_visible()
    everything_sent(page)
    _all_open(page)
    yield "signing"


def _what_was_not_written(page: Page, works: Works) -> Iterator[str]:
    """Two values for one field, an entry that was refused, a job that is another's now."""
    step = works.job.steps.filter(caution=False).first()
    second = UserFactory(shop=works.shop, username="tess", full_name="Tess Holm", role="technician")
    Clash.objects.create(
        job=works.job,
        entry=Entry.objects.first(),
        target=f"step:{step.key}",
        name="note",
        label=f"{step.title}: note",
        standing="Left hand side",
        standing_by=works.technician,
        other="Right hand side",
        other_by=second,
        other_at=step.done_at,
    )
    Job.objects.filter(pk=works.job.pk).update(technician=second)
    page.locator('[data-point^="trial"] .button').first.click()
    everything_sent(page)
    page.reload()
    page.get_by_role("link", name="Look at them").click()
    expect(page.locator(".clash")).to_be_visible()
    yield "told"


def _outside_of_a_job(page: Page, works: Works) -> Iterator[str]:
    page.goto(f"/tab/#/job/{works.job.pk + 1000}")
    expect(page.get_by_role("heading", name="The desk has no such job for you")).to_be_visible()
    yield "missing"
    page.goto("/tab/scan/?job=1&target=box&name=code")
    expect(
        page.get_by_text("Type the code below").or_(page.get_by_text("type it below"))
    ).to_be_visible()
    yield "scan"
