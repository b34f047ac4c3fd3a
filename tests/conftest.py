"""People of a shop, for every room's tests."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.db import connection
from django.test import Client

from shopapp.accounts.models import Shop, User
from shopapp.roles import Role
from tests.factories.accounts import ShopFactory, UserFactory


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    """A browser that still polls at the end keeps PostgreSQL's test database from being dropped."""
    yield
    if connection.vendor == "postgresql":
        with django_db_blocker.unblock(), connection.cursor() as cursor:
            cursor.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity"
                " WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )


@pytest.fixture
def shop(db: None) -> Shop:
    return ShopFactory(name="Tidewater Test Bench")


@pytest.fixture
def writer(shop: Shop) -> User:
    return UserFactory(shop=shop, username="wanda", full_name="Wanda Pell", role=Role.WRITER)


@pytest.fixture
def technician(shop: Shop) -> User:
    return UserFactory(shop=shop, username="theo", full_name="Theo Marsh", role=Role.TECHNICIAN)


@pytest.fixture
def manager(shop: Shop) -> User:
    return UserFactory(shop=shop, username="mona", full_name="Mona Reed", role=Role.MANAGER)


@pytest.fixture
def parts_person(shop: Shop) -> User:
    return UserFactory(shop=shop, username="pete", full_name="Pete Loam", role=Role.PARTS)


@pytest.fixture
def owner(shop: Shop) -> User:
    return UserFactory(shop=shop, username="olga", full_name="Olga Quill", role=Role.OWNER)


@pytest.fixture
def stranger(db: None) -> User:
    """The owner of another shop."""
    return UserFactory(username="stan", full_name="Stan Elsewhere", role=Role.OWNER)


@pytest.fixture
def client_for() -> Callable[[User], Client]:
    """A signed-in client of a person."""

    def signed_in(user: User) -> Client:
        client = Client()
        client.force_login(user)
        return client

    return signed_in
