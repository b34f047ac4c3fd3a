"""One browser for all tests, and what they ask of a page."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, expect, sync_playwright

from tests.browser.door import CHROMIUM, FLAGS, sign_in  # noqa: F401 -- tests take it from here
from tests.browser.tablet_world import new_tablet, tablet, works  # noqa: F401 -- fixtures

# Playwright's own event loop runs in this thread; Django would refuse its database otherwise.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"

# Two suites share two cores in the gate: what comes late has still come.
expect.set_options(timeout=45_000)
AXE = Path(__file__).parent.parent / "vendor" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Everything in this folder drives the browser."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium, started once."""
    if not Path(CHROMIUM).exists():
        pytest.skip(f"no browser at {CHROMIUM}; name one in DESK_TEST_BROWSER")
    with sync_playwright() as play:
        chromium = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture
def new_page(browser: Browser, live_server: Any) -> Iterator[Callable[..., Page]]:
    """Opens pages of a width and colour scheme; at the end no page may have complained."""
    contexts, complaints = [], []

    def listen(message: ConsoleMessage) -> None:
        if (
            message.type == "error"
            and "the server responded with a status of 4" not in message.text
        ):
            complaints.append(f"{message.text} ({message.location.get('url')})")

    def opened(width: int = 1280, scheme: str = "light", **options: Any) -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": 900},
            color_scheme=scheme,
            base_url=live_server.url,
            **options,
        )
        contexts.append(context)
        page = context.new_page()
        page.on("console", listen)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.set_default_timeout(45_000)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.fixture
def page(new_page: Callable[..., Page]) -> Page:
    """A page at the desk's width."""
    return new_page()


def axe_findings(page: Page, rules: list[str] | None = None) -> list[str]:
    """What the accessibility rules (named, or all of WCAG 2.2 AA) find wrong, one line each."""
    page.evaluate(AXE.read_text(encoding="utf-8"))
    found = page.evaluate("rules => axe.run(document, {runOnly: rules})", rules or RULES)
    return [
        f"{rule['id']}: {node['html'][:160]}"
        for rule in found["violations"]
        for node in rule["nodes"]
    ]


def overflow(page: Page) -> int:
    """Pixels by which the page is wider than its window; 0 when nothing overflows."""
    return page.evaluate("Math.max(0, document.documentElement.scrollWidth - window.innerWidth)")


def shot(page: Page, name: str) -> None:
    """A picture of the whole page, where DESK_SHOTS names a folder for them."""
    folder = os.environ.get("DESK_SHOTS")
    if folder:
        Path(folder).mkdir(parents=True, exist_ok=True)
        page.screenshot(path=str(Path(folder) / f"{name}.png"), full_page=True)
