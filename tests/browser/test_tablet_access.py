"""Axe, targets and contrast on every page of the tablet, in sun and in the dark."""

import pytest

from tests.browser.conftest import axe_findings, overflow, shot
from tests.browser.tablet_hands import small_targets, take_along
from tests.browser.tablet_tour import pale_texts, tour

PAGES = 14


@pytest.mark.parametrize(("scheme", "width"), [("light", 820), ("dark", 1280)])
def test_every_page_is_open_to_all_in(new_tablet, works, scheme, width):
    page = new_tablet(scheme, width)
    take_along(page, works.technician)
    found, seen = [], 0
    for name in tour(page, works):
        seen += 1
        # What is pinned to the window's edges covers other pieces wherever the page is scrolled.
        page.evaluate("window.scrollTo(0, 0)")
        shot(page, f"tab-{width}-{scheme}-{seen:02}-{name}")
        told = [*axe_findings(page), *small_targets(page), *pale_texts(page)]
        wide = overflow(page)
        found += [f"{name}: {one}" for one in told] + ([f"{name}: {wide} px wide"] if wide else [])
    assert found == []
    assert seen == PAGES
