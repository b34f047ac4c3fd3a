"""The bench sums in the browser: fill in, read formula, source and margin, errors at each field."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import axe_findings, overflow, shot, sign_in

both_widths = pytest.mark.parametrize("width", [1280, 820])


@pytest.fixture
def bench(technician, new_page, transactional_db):
    """A technician signed in, at the width asked for."""

    def opened(width: int) -> Page:
        page = new_page(width)
        sign_in(page, technician)
        page.goto("/sums/")
        return page

    return opened


def is_sound(page: Page, name: str) -> None:
    """Nothing runs over the edge, and nothing is in the way of whoever cannot see it."""
    shot(page, f"bench-{name}-{page.viewport_size['width']}")
    assert overflow(page) == 0
    assert axe_findings(page) == []


@both_widths
def test_a_wire_is_sized_at_the_boat(bench, width):
    page = bench(width)
    is_sound(page, "list")
    expect(page.get_by_text("Estimates, not a survey.")).to_be_visible()
    page.get_by_role("link", name="Wire for a circuit").click()
    page.get_by_label("Current, A").fill("10")
    page.get_by_label("Run one way, ft").fill("10.5")
    page.get_by_role("button", name="Work it out").click()
    answer = page.locator("#answer")
    expect(answer.locator(".main")).to_contain_text("10 AWG")
    expect(answer).to_contain_text("10.5 ft (3.2 m) one way, 21.0 ft (6.4 m) round trip")
    for heading in ("Margin", "Formula", "Source", "Taken", "Cautions"):
        expect(answer.get_by_role("heading", name=heading, exact=True)).to_be_visible()
    expect(answer).to_contain_text("10.75 × amps × round trip ft")
    expect(answer).to_contain_text("ABYC E-11")
    expect(answer).to_contain_text("By the exact AWG areas: 12 AWG")
    expect(answer).to_contain_text("An estimate, not a survey")
    is_sound(page, "conductor")


@both_widths
def test_what_cannot_be_stands_beside_its_field(bench, width):
    page = bench(width)
    page.get_by_role("link", name="Wire for a circuit").click()
    page.get_by_label("Current, A").fill("10000")
    page.get_by_label("Run one way, ft").fill("0")
    page.get_by_role("button", name="Work it out").click()
    said = re.compile("10000 is too much: at most 5,000 A is taken.")
    expect(page.get_by_label("Current, A")).to_have_accessible_description(said)
    expect(page.locator("#id_one_way_ft_error")).to_contain_text("must be more than 0 ft")
    expect(page.get_by_label("Current, A")).to_have_value("10000")
    expect(page.locator("#answer")).to_have_count(0)
    is_sound(page, "conductor-wrong")


def fill_rows(page: Page, rows: dict[str, list[list[str]]]) -> None:
    for sheet, lines in rows.items():
        for number, cells in enumerate(lines):
            boxes = page.locator(f"input[name^='{sheet}-{number}-']:visible:not([type=checkbox])")
            for place, cell in enumerate(cells):
                boxes.nth(place).fill(cell)


@both_widths
def test_a_backbone_is_typed_in_and_its_faults_are_named_with_their_places(bench, width):
    page = bench(width)
    page.get_by_role("link", name="A whole backbone").click()
    rows = {
        "segments": [["T1", "T2", "4"], ["T2", "T3", "4"]],
        "drops": [["T2", "7", "plotter", "5"], ["T3", "1", "wind", "2"]],
        "feeds": [["T1", "12.6"]],
    }
    fill_rows(page, rows)
    page.get_by_label("Terminators on tees").fill("T1")
    page.get_by_role("button", name="Work it out").click()
    answer = page.locator("#answer")
    expect(answer).to_contain_text("The drop from tee T2 to plotter has 7 m")
    expect(answer).to_contain_text("1 terminator (on T1), not two")
    expect(answer.get_by_role("heading", name="Volts at every node")).to_be_visible()
    is_sound(page, "backbone")
