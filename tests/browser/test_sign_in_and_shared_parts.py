"""The door, the people's pages and the shared parts, as a browser sees them."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from shopapp.accounts.models import SignIn, User
from tests.browser.conftest import axe_findings, overflow, shot, sign_in
from tests.factories.accounts import TaxRateFactory

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.urls("tests.ui.sample")]
LOOKS = [(1280, "light"), (1280, "dark"), (820, "light"), (820, "dark")]


@pytest.mark.parametrize(("width", "scheme"), LOOKS)
def test_pages_of_the_owner_are_free_of_barriers(
    new_page: Callable[..., Page], owner: User, technician: User, width: int, scheme: str
) -> None:
    TaxRateFactory(shop=owner.shop)
    page = new_page(width, scheme)
    page.goto("/sign-in/")
    assert axe_findings(page) == []
    shot(page, f"sign-in-{width}-{scheme}")
    sign_in(page, owner)
    paths = ["/people/", "/people/add/", f"/people/{technician.pk}/", "/settings/", "/me/"]
    for path in [*paths, "/me/password/"]:
        page.goto(path)
        assert axe_findings(page) == [], path
        assert overflow(page) == 0, path
        shot(page, f"{path.strip('/').replace('/', '-')}-{width}-{scheme}")


def test_signing_in_leaves_a_line_in_the_list_of_sign_ins(page: Page, writer: User) -> None:
    sign_in(page, writer)
    page.goto("/me/")
    expect(page.get_by_role("heading", name="My account")).to_be_visible()
    expect(page.get_by_role("cell", name="this one")).to_be_visible()
    assert SignIn.objects.get().user == writer


@pytest.mark.parametrize(("width", "scheme"), LOOKS)
def test_every_shared_part_is_free_of_barriers(
    new_page: Callable[..., Page], writer: User, width: int, scheme: str
) -> None:
    page = new_page(width, scheme)
    sign_in(page, writer)
    expect(page.get_by_role("heading", level=1)).to_contain_text("Second helm display")
    assert axe_findings(page) == []
    assert overflow(page) == 0
    shot(page, f"sample-{width}-{scheme}")
    page.get_by_role("button", name="Save survey").click()
    expect(page.get_by_label("Boat's name")).to_be_focused()
    assert axe_findings(page) == []
    page.locator("summary").click()
    expect(page.get_by_role("button", name="Sign out")).to_be_visible()
    shot(page, f"sample-errors-{width}-{scheme}")


def test_a_person_is_picked_by_keyboard_alone(page: Page, writer: User, manager: User) -> None:
    sign_in(page, writer)
    box = page.get_by_label("Surveyed by")
    box.press_sequentially("mon")
    option = page.get_by_role("option", name="Mona Reed")
    expect(option).to_have_attribute("aria-selected", "true")
    assert axe_findings(page) == []
    shot(page, "pick-open")
    box.press("Tab")
    expect(box).to_have_value("Mona Reed")
    expect(page.locator("input[name=person]")).to_have_value(str(manager.pk))
    box.press_sequentially("x")
    expect(page.locator("input[name=person]")).to_have_value("")


def test_escape_leaves_the_list_and_keeps_what_was_typed(page: Page, writer: User) -> None:
    sign_in(page, writer)
    box = page.get_by_label("Surveyed by")
    box.press_sequentially("wan")
    expect(page.get_by_role("option", name="Wanda Pell")).to_be_visible()
    box.press("Escape")
    expect(page.get_by_role("listbox")).to_have_count(0)
    expect(box).to_have_value("wan")


def test_a_sheet_is_filled_by_keyboard_alone(page: Page, writer: User) -> None:
    sign_in(page, writer)
    page.get_by_label("Boat's name").fill("Grey Heron")
    page.get_by_label("Surveyed by").press_sequentially("wanda")
    expect(page.get_by_role("option", name="Wanda Pell")).to_be_visible()
    page.keyboard.press("Enter")
    page.locator("#id_units-0-what").fill("Display 12")
    page.locator("#id_units-0-serial").fill("S-1")
    page.keyboard.press("Alt+KeyD")
    expect(page.locator("#id_units-1-what")).to_be_focused()
    expect(page.locator("#id_units-1-what")).to_have_value("Display 12")
    expect(page.locator("#id_units-1-serial")).to_have_value("")
    page.keyboard.press("Enter")
    expect(page.locator("#id_units-2-what")).to_be_focused()
    page.keyboard.press("Control+KeyD")
    expect(page.locator("#id_units-2-what")).to_have_value("Display 12")
    page.keyboard.press("Alt+Backspace")
    expect(page.locator("#id_units-2-DELETE")).to_be_checked()
    shot(page, "sheet-filled")
    page.keyboard.press("Control+Enter")
    expect(page.get_by_role("status").filter(has_text="Saved")).to_have_text(
        "Saved Grey Heron, 2 units."
    )


def test_a_half_filled_form_survives_a_reload_and_goes_when_saved(page: Page, writer: User) -> None:
    sign_in(page, writer)
    page.get_by_label("Boat's name").fill("Grey Heron")
    page.locator("#id_units-0-what").fill("Display 12")
    page.locator("#id_units-0-what").press("Enter")
    page.locator("#id_units-1-what").fill("Sounder 4")
    expect(page.locator("#id_units-1-what")).to_have_value("Sounder 4")
    page.reload()
    expect(page.get_by_text("Restored what you had typed.")).to_be_visible()
    expect(page.get_by_label("Boat's name")).to_have_value("Grey Heron")
    expect(page.locator("#id_units-1-what")).to_have_value("Sounder 4")
    shot(page, "draft-restored")
    page.get_by_label("Surveyed by").fill("Wanda Pell")
    page.get_by_role("button", name="Save survey").click()
    expect(page.get_by_role("status").filter(has_text="Saved Grey Heron, 2 units.")).to_be_visible()
    expect(page.get_by_label("Boat's name")).to_have_value("")
    assert page.evaluate("localStorage.length") == 0


def test_a_draft_can_be_discarded(page: Page, writer: User) -> None:
    sign_in(page, writer)
    page.get_by_label("Boat's name").fill("Grey Heron")
    page.get_by_label("Boat's name").blur()
    page.reload()
    page.get_by_role("button", name="Discard it").click()
    expect(page.get_by_text("Restored what you had typed.")).to_have_count(0)
    expect(page.get_by_label("Boat's name")).to_have_value("")


def test_the_slash_leads_to_the_search_box(page: Page, writer: User) -> None:
    sign_in(page, writer)
    page.keyboard.press("/")
    expect(page.get_by_role("searchbox")).to_be_focused()


SMALL_TARGETS = """() => [...document.querySelectorAll(
  "main a, main button, main input:not([type=hidden]), main select, main textarea, main summary")]
  .map(el => [el, (el.closest(".tickline") || el).getBoundingClientRect()])
  .filter(([el, box]) => box.width > 1 && (box.height < 48 || box.width < 48))
  .filter(([el]) => !el.closest("p, .crumbs"))
  .map(([el, box]) => `${el.outerHTML.slice(0, 90)} ${box.width} by ${box.height}`)"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_at_the_boat_have_big_targets_and_strong_ink(
    new_page: Callable[..., Page], writer: User, scheme: str
) -> None:
    page = new_page(820, scheme)
    sign_in(page, writer)
    assert page.evaluate(SMALL_TARGETS) != [], "the desk's page has smaller ones"
    page.goto("/sample/?tablet=yes")
    shot(page, f"tablet-820-{scheme}")
    assert page.evaluate(SMALL_TARGETS) == []
    assert overflow(page) == 0
    assert axe_findings(page) == []
    assert axe_findings(page, ["color-contrast-enhanced"]) == []


def test_a_person_picked_inside_a_sheet_is_copied_with_the_row(
    page: Page, writer: User, manager: User
) -> None:
    sign_in(page, writer)
    page.locator("#id_units-0-fitter").press_sequentially("mona")
    option = page.get_by_role("option", name="Mona Reed")
    expect(option).to_be_in_viewport()
    option.click()
    page.locator("#id_units-0-fitter").press("Alt+KeyD")
    expect(page.locator("#id_units-1-fitter")).to_have_value("Mona Reed")
    expect(page.locator("input[name=units-1-fitter]")).to_have_value(str(manager.pk))


def test_a_draft_of_one_person_is_not_shown_to_another(
    page: Page, writer: User, manager: User
) -> None:
    sign_in(page, writer)
    page.get_by_label("Boat's name").fill("Grey Heron")
    page.locator("summary").click()
    page.get_by_role("button", name="Sign out").click()
    sign_in(page, manager)
    expect(page.get_by_label("Boat's name")).to_have_value("")
    page.locator("summary").click()
    page.get_by_role("button", name="Sign out").click()
    sign_in(page, writer)
    expect(page.get_by_label("Boat's name")).to_have_value("Grey Heron")
