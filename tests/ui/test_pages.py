"""The frame of the pages: what each role sees, errors, and the safety of what is sent."""

from collections.abc import Callable
from http import HTTPStatus

import pytest
from django.template.loader import render_to_string
from django.test import Client

from shopapp.accounts.models import User

pytestmark = pytest.mark.urls("tests.ui.sample")
ClientFor = Callable[[User], Client]


@pytest.mark.parametrize(
    ("role", "shown", "hidden"),
    [
        ("owner", ["People", "Settings", "Catalogue", "Statements", "Customers"], []),
        ("manager", ["Settings", "Customers"], ["People"]),
        ("technician", ["Catalogue", "My account"], ["People", "Settings", "Customers"]),
    ],
)
def test_the_shop_s_menu_holds_what_the_role_may_see(
    client_for: ClientFor, writer: User, role: str, shown: list[str], hidden: list[str]
) -> None:
    writer.role = role
    writer.save()
    page = client_for(writer).get("/sample/").content.decode()
    menu = page[page.index("<details") : page.index("</details>")]
    assert [name for name in shown if f">{name}</a>" in menu] == shown
    assert [name for name in hidden if f">{name}</a>" in menu] == []


def test_the_room_we_are_in_is_marked(client_for: ClientFor, writer: User) -> None:
    page = client_for(writer).get("/sample/").content.decode()
    assert '<a href="#" aria-current="page">Jobs</a>' in page


def test_a_refused_move_says_what_and_what_to_do(client_for: ClientFor, writer: User) -> None:
    answer = client_for(writer).get("/refused/")
    assert answer.status_code == HTTPStatus.CONFLICT
    assert "Make a new revision." in answer.content.decode()


def test_a_refused_fact_that_no_form_took_is_a_page(client_for: ClientFor, writer: User) -> None:
    answer = client_for(writer).get("/refused-fact/")
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY


def test_an_address_with_nothing_behind_it_says_so(db: None) -> None:
    answer = Client().get("/nowhere/")
    assert answer.status_code == HTTPStatus.NOT_FOUND
    assert "No such page here" in answer.content.decode()


def test_the_page_of_a_fault_needs_nothing_that_may_be_broken() -> None:
    assert "Something broke on our side" in render_to_string("500.html")


def test_a_form_from_elsewhere_is_refused_in_plain_words(writer: User) -> None:
    answer = Client(enforce_csrf_checks=True).post("/sign-in/", {"username": "wanda"})
    assert answer.status_code == HTTPStatus.FORBIDDEN
    assert "open too long" in answer.content.decode()


@pytest.mark.parametrize("path", ["/sample/", "/me/", "/sign-in/", "/nowhere/"])
def test_no_page_holds_script_or_style_of_its_own(
    client_for: ClientFor, writer: User, path: str
) -> None:
    answer = client_for(writer).get(path, follow=True)
    page = answer.content.decode()
    policy = answer["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "unsafe" not in policy
    assert "<style" not in page
    assert "style=" not in page
    assert page.count("<script") == page.count("<script src=")
    assert " onclick" not in page


def test_a_wrong_form_keeps_every_row_that_was_typed(client_for: ClientFor, writer: User) -> None:
    facts = {
        "name": "",
        "units-TOTAL_FORMS": "2",
        "units-INITIAL_FORMS": "0",
        "units-0-what": "Display 12",
        "units-0-place": "helm",
        "units-1-what": "",
        "units-1-serial": "S-77",
        "units-1-place": "bow",
    }
    answer = client_for(writer).post("/sample/", facts)
    page = answer.content.decode()
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert 'value="Display 12"' in page
    assert 'value="S-77"' in page
    assert 'id="id_units-1-what_error"' in page
