"""The type-ahead: its endpoint's bounds and its field."""

from collections.abc import Callable
from http import HTTPStatus
from typing import Any

import pytest
from django import forms
from django.core.exceptions import ImproperlyConfigured
from django.test import Client, RequestFactory

from shopapp.accounts.models import User
from shopapp.ui.forms import DeskForm, DeskModelForm, PickField
from shopapp.ui.pick import register_pick
from tests.factories.accounts import UserFactory
from tests.ui import sample

pytestmark = pytest.mark.urls("tests.ui.sample")
ClientFor = Callable[[User], Client]


class Chosen(DeskForm):
    who = PickField("sample-person")


class Words(DeskForm):
    berth = PickField("sample-person", free=True)


def form_of(user: User, kind: type[DeskForm], data: dict[str, str] | None = None) -> DeskForm:
    request = RequestFactory().get("/")
    request.user = user
    return kind(data, request=request)


def test_the_list_shows_what_matches_the_words(
    client_for: ClientFor, writer: User, manager: User
) -> None:
    shown = client_for(writer).get("/pick/sample-person?q=ree mon").content.decode()
    assert f'data-value="{manager.pk}"' in shown
    assert "Wanda" not in shown


def test_the_list_never_shows_another_shop(
    client_for: ClientFor, writer: User, stranger: User
) -> None:
    assert "Elsewhere" not in client_for(writer).get("/pick/sample-person").content.decode()


def test_the_list_stays_short(client_for: ClientFor, writer: User) -> None:
    UserFactory.create_batch(30, shop=writer.shop)
    shown = client_for(writer).get("/pick/sample-person?q=person").content.decode()
    assert shown.count("<li") == 12


def test_no_match_says_so(client_for: ClientFor, writer: User) -> None:
    assert "Nothing found" in client_for(writer).get("/pick/sample-person?q=zzz").content.decode()


def test_names_are_shown_as_text(client_for: ClientFor, writer: User) -> None:
    UserFactory(shop=writer.shop, full_name="<b>Bold</b>")
    shown = client_for(writer).get("/pick/sample-person?q=bold").content.decode()
    assert "<b>Bold" not in shown
    assert "&lt;b&gt;Bold" in shown


def test_the_list_asks_for_the_kind_s_own_action(
    client_for: ClientFor, writer: User, owner: User
) -> None:
    assert client_for(writer).get("/pick/sample-people").status_code == HTTPStatus.FORBIDDEN
    assert client_for(owner).get("/pick/sample-people").status_code == HTTPStatus.OK


def test_the_list_asks_strangers_to_sign_in(db: None) -> None:
    assert Client().get("/pick/sample-person").status_code == HTTPStatus.FOUND


def test_an_unknown_kind_is_not_there(client_for: ClientFor, writer: User) -> None:
    assert client_for(writer).get("/pick/nothing").status_code == HTTPStatus.NOT_FOUND


def test_a_kind_is_registered_once_and_for_a_known_action() -> None:
    with pytest.raises(ValueError, match="twice"):
        register_pick("sample-person", "boats.see", lambda r, w: [], lambda r, v: "")
    with pytest.raises(ValueError, match="unknown action"):
        register_pick("sample-new", "boats.sail", sample.person_rows, sample.person_label)


def test_a_chosen_value_becomes_the_row(writer: User, manager: User) -> None:
    form = form_of(writer, Chosen, {"who": str(manager.pk), "who-typed": "Mona Reed"})
    assert form.is_valid(), form.errors
    assert form.cleaned_data["who"] == manager


@pytest.mark.parametrize("typed", ["mona", "Mona Reed", "REED mon"])
def test_words_that_match_one_row_are_taken_without_scripts(
    writer: User, manager: User, typed: str
) -> None:
    form = form_of(writer, Chosen, {"who": "", "who-typed": typed})
    assert form.is_valid(), form.errors
    assert form.cleaned_data["who"] == manager


def test_words_that_match_two_rows_ask_to_pick_and_stay(writer: User) -> None:
    UserFactory.create_batch(2, shop=writer.shop, full_name="Sam Twice")
    form = form_of(writer, Chosen, {"who": "", "who-typed": "sam"})
    assert "Pick one" in form.errors["who"][0]
    assert 'value="sam"' in str(form["who"])


def test_a_row_of_another_shop_cannot_be_picked(writer: User, stranger: User) -> None:
    form = form_of(writer, Chosen, {"who": str(stranger.pk)})
    assert "no longer there" in form.errors["who"][0]


def test_nothing_picked_is_said_in_plain_words(writer: User) -> None:
    assert form_of(writer, Chosen, {"who": "", "who-typed": ""}).errors["who"] == ["Fill this in."]


def test_a_free_field_takes_any_words(writer: User) -> None:
    form = form_of(writer, Words, {"berth": "North pier 12 "})
    assert form.is_valid()
    assert form.cleaned_data["berth"] == "North pier 12"


def test_the_label_of_a_chosen_row_is_drawn_by_the_server(writer: User, manager: User) -> None:
    form = Chosen(initial={"who": manager}, request=form_of(writer, Chosen).request)
    shown = str(form["who"])
    assert 'value="Mona Reed"' in shown
    assert f'name="who" value="{manager.pk}"' in shown
    assert 'role="combobox"' in shown


def test_a_row_named_twice_on_a_page_is_looked_up_once(
    writer: User, manager: User, django_assert_num_queries: Any
) -> None:
    request = form_of(writer, Chosen).request
    with django_assert_num_queries(1):
        shown = [str(Chosen(initial={"who": manager}, request=request)["who"]) for _ in range(3)]
    assert all('value="Mona Reed"' in text for text in shown)


def test_a_form_without_its_request_says_what_is_missing() -> None:
    with pytest.raises(ImproperlyConfigured, match="request=request"):
        Chosen({"who": "1"}).is_valid()


def test_a_picked_row_is_saved_by_a_model_form(writer: User, manager: User) -> None:
    class SignInOf(DeskModelForm):
        user = PickField("sample-person")

        class Meta:
            model = User.sign_ins.rel.related_model
            fields = ["user", "session_key"]

    request = form_of(writer, Chosen).request
    form = SignInOf({"user": str(manager.pk), "session_key": "abc"}, request=request)
    assert form.save().user == manager
    again = SignInOf({"user": str(manager.pk), "session_key": "abc"}, instance=form.instance,
                     request=request)  # fmt: skip
    assert not again.has_changed()


def test_a_field_that_is_no_pick_needs_no_request() -> None:
    class Plain(DeskForm):
        name = forms.CharField()

    assert Plain({"name": "Grey Heron"}).is_valid()
