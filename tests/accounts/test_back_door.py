"""The bare records stand open to the owner of the system alone."""

from collections.abc import Callable
from http import HTTPStatus

import pytest
from django.contrib import admin
from django.test import Client
from django.urls import path

from shopapp.accounts.models import User
from tests.factories.accounts import UserFactory
from tests.ui import sample

urlpatterns = [*sample.urlpatterns, path("back-door/", admin.site.urls)]
pytestmark = pytest.mark.urls("tests.accounts.test_back_door")
ClientFor = Callable[[User], Client]


@pytest.mark.parametrize("room", ["", "accounts/shop/", "accounts/user/", "accounts/taxrate/"])
def test_a_superuser_comes_in(client_for: ClientFor, owner: User, room: str) -> None:
    owner.is_superuser = True
    owner.save()
    assert client_for(owner).get(f"/back-door/{room}").status_code == HTTPStatus.OK


@pytest.mark.parametrize("staff", [True, False])
def test_nobody_else_comes_in(client_for: ClientFor, db: None, staff: bool) -> None:
    user = UserFactory(role="owner", is_staff=staff)
    assert client_for(user).get("/back-door/").status_code == HTTPStatus.FOUND


def test_a_password_is_never_shown(client_for: ClientFor, owner: User) -> None:
    owner.is_superuser = True
    owner.save()
    page = client_for(owner).get(f"/back-door/accounts/user/{owner.pk}/change/")
    assert page.status_code == HTTPStatus.OK
    assert owner.password not in page.content.decode()
