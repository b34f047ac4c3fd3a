"""A small boat entered by keyboard alone, and the pages of boats without barriers."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from shopapp.accounts.models import User
from shopapp.boats.models import Boat, CableEnd, Route
from tests.boats.aboard import note, twelve_units
from tests.browser.conftest import axe_findings, overflow, shot, sign_in
from tests.factories.boats import BoatFactory
from tests.factories.catalog import CablePartFactory, EquipmentModelFactory, SwitchFactory

pytestmark = pytest.mark.django_db(transaction=True)


def type_in(page: Page, *cells: str) -> None:
    """Type into one cell after the other; Tab goes on to the next."""
    for place, words in enumerate(cells):
        if place:
            page.keyboard.press("Tab")
        page.keyboard.type(words)


def pick(page: Page, words: str) -> None:
    """Type into a type-ahead cell and take the match with Tab, which also goes on."""
    page.keyboard.type(words)
    expect(page.locator(".pick-list:not([hidden]) [aria-selected=true]")).to_be_visible()
    page.keyboard.press("Tab")


def next_row(page: Page) -> None:
    """Ask for a new row and wait until it has the focus, as a person's eye does."""
    rows = page.locator("tr[data-row]").count()
    page.keyboard.press("Alt+n")
    expect(page.locator("tr[data-row]")).to_have_count(rows + 1)
    expect(page.locator("tr[data-row]").last.locator("input:visible").first).to_be_focused()


def save(page: Page) -> None:
    page.keyboard.press("Control+Enter")
    expect(page.get_by_text("Saved, with its evidence.")).to_be_visible()


def tab_to(page: Page, field: str) -> None:
    for _ in range(80):
        if page.evaluate("document.activeElement.id") == field:
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"Tab never reached {field}")


def enter_places(page: Page, boat: Boat) -> None:
    page.goto(f"/boats/{boat.pk}/survey/places/")
    expect(page.locator("#id_places-0-name")).to_be_focused()
    for name in ("console", "bow"):
        page.keyboard.type(name)
        page.keyboard.press("Enter")
    tab_to(page, "id_routes-0-a")
    type_in(page, "console", "bow", "16")
    save(page)


def enter_units(page: Page, boat: Boat) -> None:
    page.goto(f"/boats/{boat.pk}/survey/units/")
    for model, place, release in [("hub", "con", ""), ("nine", "con", "2.0"), ("nine", "bow", "")]:
        page.keyboard.press("Tab")
        pick(page, model)
        type_in(page, place, release, "y")
        page.keyboard.press("Alt+n")
    save(page)


def enter_cables(page: Page, boat: Boat) -> None:
    page.goto(f"/boats/{boat.pk}/survey/cables/")
    for port, unit in enumerate(("d1", "d2"), 1):
        page.keyboard.press("Tab")
        type_in(page, "10", "sw1", str(port), unit, "1")
        page.keyboard.press("Alt+n")
    save(page)


def test_a_small_boat_is_entered_by_keyboard_alone(page: Page, technician: User) -> None:
    shop = technician.shop
    boat = BoatFactory(shop=shop)
    SwitchFactory(shop=shop, name="Bench Hub")
    EquipmentModelFactory(shop=shop, name="Bench Nine", releases=["1.0", "2.0"])
    CablePartFactory(shop=shop, cable_ft=10)
    sign_in(page, technician)
    enter_places(page, boat)
    enter_units(page, boat)
    enter_cables(page, boat)
    assert Route.objects.get().feet == 16
    units = {unit.name: unit for unit in boat.units.select_related("release", "location")}
    assert set(units) == {"sw1", "d1", "d2"}
    assert units["d1"].release.name == "2.0"
    assert units["d2"].location.name == "bow"
    ends = CableEnd.objects.filter(unit=units["sw1"]).order_by("port")
    assert [end.port for end in ends] == [1, 2]
    page.goto(f"/boats/{boat.pk}/")
    expect(page.locator("svg.dw-drawing")).to_be_visible()


# The keystroke-level model: seconds a key of an average typist, seconds to think before a field.
# S. K. Card, T. P. Moran, A. Newell, Communications of the ACM 23 (7), 1980; from memory.
KEY_S = 0.28
THINK_S = 1.35
COUNT = """
const add = name => sessionStorage.setItem(name, 1 + Number(sessionStorage.getItem(name) || 0));
let last = null;
addEventListener("keydown", () => add("keys"), true);
addEventListener("input", event => {
  if (event.target !== last) add("fields");
  last = event.target;
}, true);
"""
TWELVE = [("hub", "con"), ("hub", "bow"), *[("nine", "con")] * 5, *[("nine", "bow")] * 5]


def counted(page: Page, kind: str) -> int:
    return int(page.evaluate("kind => sessionStorage.getItem(kind) || 0", kind))


def enter_twelve(page: Page, boat: Boat) -> None:
    page.goto(f"/boats/{boat.pk}/survey/units/")
    for model, place in TWELVE:
        page.keyboard.press("Tab")
        pick(page, model)
        type_in(page, place, "2.0" if model == "nine" else "", "y")
        next_row(page)
    save(page)
    page.goto(f"/boats/{boat.pk}/survey/cables/")
    ends = [("sw1", "8", "sw2", "8")]
    ends += [("sw1", str(n), f"d{n}", "1") for n in range(1, 6)]
    ends += [("sw2", str(n), f"d{n + 5}", "1") for n in range(1, 6)]
    for end in ends:
        page.keyboard.press("Tab")
        type_in(page, "10", *end)
        next_row(page)
    save(page)


def test_twelve_units_and_their_network_take_under_five_minutes_of_keys(
    page: Page, technician: User
) -> None:
    shop = technician.shop
    boat = BoatFactory(shop=shop)
    SwitchFactory(shop=shop, name="Bench Hub", ports=8)
    EquipmentModelFactory(shop=shop, name="Bench Nine", releases=["1.0", "2.0"])
    CablePartFactory(shop=shop, cable_ft=10)
    sign_in(page, technician)
    page.add_init_script(COUNT)
    enter_places(page, boat)
    enter_twelve(page, boat)
    assert boat.units.count() == 12
    assert boat.cables.count() == 11
    assert counted(page, "keys") > 300
    seconds = KEY_S * counted(page, "keys") + THINK_S * counted(page, "fields")
    assert seconds < 300


def test_an_error_takes_the_focus_and_keeps_what_was_typed(page: Page, technician: User) -> None:
    boat = BoatFactory(shop=technician.shop)
    sign_in(page, technician)
    page.goto(f"/boats/{boat.pk}/survey/places/")
    page.keyboard.type("console")
    tab_to(page, "id_routes-0-a")
    type_in(page, "console", "nowhere", "12")
    page.keyboard.press("Control+Enter")
    expect(page.get_by_text("There is no location “nowhere”")).to_be_visible()
    expect(page.locator("#id_routes-0-b")).to_have_value("nowhere")
    expect(page.locator("#id_routes-0-b")).to_be_focused()
    assert not boat.locations.exists()


LOOKS = [(1280, "light"), (820, "dark")]


@pytest.mark.parametrize(("width", "scheme"), LOOKS)
def test_pages_of_boats_and_customers_are_free_of_barriers(
    new_page: Callable[..., Page], owner: User, width: int, scheme: str
) -> None:
    boat = twelve_units(owner.shop)
    unit = boat.units.get(name="d1")
    note(unit, "release", "2.0", how="bus", days=200)
    page = new_page(width, scheme)
    sign_in(page, owner)
    own = f"/boats/{boat.pk}/"
    tabs = ["", "edit/", "photos/", "work/", "history/", "sell/", "delete/"]
    sections = ["places", "banks", "units", "cables", "backbone"]
    paths = ["/boats/", "/boats/add/", "/boats/units/", f"/boats/units/{unit.pk}/"]
    paths += [f"{own}{tab}" for tab in tabs] + [f"{own}survey/{name}/" for name in sections]
    person = f"/customers/{boat.customer_id}/"
    for path in [*paths, "/customers/", person, f"{person}edit/"]:
        page.goto(path)
        # The cursor waits in the first empty row; what scrolled under the head is no barrier.
        page.evaluate("window.scrollTo(0, 0)")
        assert axe_findings(page) == [], path
        assert overflow(page) == 0, path
        shot(page, f"{path.strip('/').replace('/', '-')}-{width}-{scheme}")
