"""People of the shop: who may add them, change them, shut them out."""

from collections.abc import Callable
from http import HTTPStatus
from typing import Any

import pytest
from django.test import Client

from shopapp.accounts import services
from shopapp.accounts.models import SignIn, User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.roles import Role
from tests.factories.accounts import PASSWORD, UserFactory

pytestmark = pytest.mark.urls("tests.ui.sample")
ClientFor = Callable[[User], Client]
NEW = {
    "full_name": "Nina New",
    "username": "nina",
    "role": "technician",
    "email": "",
    "phone": "",
    "day_minutes": "480",
}


def facts_of(user: User, **changes: str) -> dict[str, str]:
    names = ["full_name", "username", "role", "email", "phone", "day_minutes"]
    return {name: getattr(user, name) for name in names} | changes


def test_a_new_person_gets_a_temporary_password_shown_once(
    client_for: ClientFor, owner: User
) -> None:
    answer = client_for(owner).post("/people/add/", NEW)
    word = answer.context["word"]
    nina = User.objects.get(username="nina")
    assert word in answer.content.decode()
    assert (nina.shop, nina.role, nina.must_change_password) == (owner.shop, "technician", True)
    assert nina.check_password(word)


def test_a_sign_in_name_is_taken_once(client_for: ClientFor, owner: User, writer: User) -> None:
    answer = client_for(owner).post("/people/add/", NEW | {"username": writer.username})
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert "username" in answer.context["form"].errors


def test_two_temporary_passwords_are_never_the_same() -> None:
    assert len({services.temporary_password() for _ in range(50)}) == 50


def test_the_list_holds_the_own_shop_only(
    client_for: ClientFor, owner: User, writer: User, stranger: User
) -> None:
    answer = client_for(owner).get("/people/")
    assert {row.username for row in answer.context["page"]} == {"olga", "wanda"}


def test_the_list_asks_as_often_for_three_people_as_for_one(
    client_for: ClientFor, owner: User, django_assert_num_queries: Any
) -> None:
    client = client_for(owner)
    client.get("/people/")
    with django_assert_num_queries(3):
        client.get("/people/")
    UserFactory.create_batch(2, shop=owner.shop)
    with django_assert_num_queries(3):
        client.get("/people/")


def test_a_role_is_changed_and_the_change_is_noted(
    client_for: ClientFor, owner: User, writer: User
) -> None:
    client = client_for(owner)
    answer = client.post(f"/people/{writer.pk}/", facts_of(writer, role="manager"))
    assert answer.status_code == HTTPStatus.FOUND
    change = client.get(f"/people/{writer.pk}/").context["changes"][0]
    assert change.who == "Olga Quill"
    assert change.fields == [("Role", "Service writer", "Manager")]


def test_the_last_owner_stays_owner(client_for: ClientFor, owner: User) -> None:
    answer = client_for(owner).post(f"/people/{owner.pk}/", facts_of(owner, role="writer"))
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert "last owner" in str(answer.context["form"].errors["role"])
    owner.refresh_from_db()
    assert owner.role == Role.OWNER


def test_of_two_owners_one_may_step_down(client_for: ClientFor, owner: User) -> None:
    UserFactory(shop=owner.shop, role=Role.OWNER)
    answer = client_for(owner).post(f"/people/{owner.pk}/", facts_of(owner, role="writer"))
    assert answer.status_code == HTTPStatus.FOUND


def test_an_owner_who_is_shut_out_does_not_count(owner: User) -> None:
    UserFactory(shop=owner.shop, role=Role.OWNER, is_active=False)
    with pytest.raises(FactRefused):
        services.save_person(user=owner, role=Role.WRITER)


def test_an_owner_of_another_shop_does_not_count(owner: User, stranger: User) -> None:
    with pytest.raises(FactRefused):
        services.save_person(user=owner, role=Role.WRITER)


def test_shutting_out_ends_the_sign_ins(client_for: ClientFor, owner: User, writer: User) -> None:
    theirs = Client()
    theirs.post("/sign-in/", {"username": "wanda", "password": PASSWORD})
    client_for(owner).post(f"/people/{writer.pk}/active/", {"active": "no"})
    assert theirs.get("/me/").status_code == HTTPStatus.FOUND
    assert not SignIn.objects.filter(user=writer).exists()
    again = Client().post("/sign-in/", {"username": "wanda", "password": PASSWORD})
    assert again.status_code == HTTPStatus.UNPROCESSABLE_ENTITY


def test_somebody_shut_out_is_let_in_again(
    client_for: ClientFor, owner: User, writer: User
) -> None:
    client = client_for(owner)
    client.post(f"/people/{writer.pk}/active/", {"active": "no"})
    client.post(f"/people/{writer.pk}/active/", {"active": "yes"})
    writer.refresh_from_db()
    assert writer.is_active


def test_nobody_shuts_out_oneself(client_for: ClientFor, owner: User) -> None:
    UserFactory(shop=owner.shop, role=Role.OWNER)
    with pytest.raises(MoveRefused):
        services.set_active(user=owner, active=False, by=owner)
    answer = client_for(owner).post(f"/people/{owner.pk}/active/", {"active": "no"})
    assert answer.status_code == HTTPStatus.CONFLICT


def test_a_password_given_anew_ends_the_sign_ins(
    client_for: ClientFor, owner: User, writer: User
) -> None:
    theirs = Client()
    theirs.post("/sign-in/", {"username": "wanda", "password": PASSWORD})
    answer = client_for(owner).post(f"/people/{writer.pk}/password/")
    writer.refresh_from_db()
    assert writer.check_password(answer.context["word"])
    assert writer.must_change_password
    assert theirs.get("/me/").status_code == HTTPStatus.FOUND


@pytest.mark.parametrize("way", ["", "active/", "password/"])
def test_people_of_another_shop_are_not_there(
    client_for: ClientFor, owner: User, stranger: User, way: str
) -> None:
    answer = client_for(owner).post(f"/people/{stranger.pk}/{way}", {"active": "no"})
    assert answer.status_code == HTTPStatus.NOT_FOUND
    stranger.refresh_from_db()
    assert stranger.is_active


OPEN_TO = {
    "/me/": set(Role.values),
    "/me/password/": set(Role.values),
    "/people/": {"owner"},
    "/people/add/": {"owner"},
    "/settings/": {"owner", "manager"},
}


@pytest.mark.parametrize("role", Role.values)
@pytest.mark.parametrize("path", OPEN_TO)
def test_each_page_is_open_to_its_roles_alone(
    client_for: ClientFor, db: None, role: str, path: str
) -> None:
    answer = client_for(UserFactory(role=role)).get(path)
    expected = HTTPStatus.OK if role in OPEN_TO[path] else HTTPStatus.FORBIDDEN
    assert answer.status_code == expected


@pytest.mark.parametrize("path", OPEN_TO)
def test_each_page_asks_strangers_to_sign_in(db: None, path: str) -> None:
    answer = Client().get(path)
    assert answer["Location"] == f"/sign-in/?next={path}"


def test_a_refusal_by_role_says_what_to_do(client_for: ClientFor, writer: User) -> None:
    words = client_for(writer).get("/people/").content.decode()
    assert "Ask the owner of the system" in words
