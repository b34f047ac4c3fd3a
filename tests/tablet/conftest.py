"""A job begun at the boat, and tablets that send to it."""

from collections.abc import Callable

import pytest
from django.test import Client

from shopapp.accounts.models import Shop, User
from shopapp.roles import Role
from tests.factories.accounts import UserFactory
from tests.jobs.work_world import Works
from tests.tablet.tablets import TabletDevice


@pytest.fixture
def works(shop: Shop, writer: User, technician: User) -> Works:
    """A job begun by its technician."""
    made = Works(shop, writer, technician)
    made.start()
    return made


@pytest.fixture
def second(shop: Shop) -> User:
    return UserFactory(shop=shop, username="tess", full_name="Tess Holm", role=Role.TECHNICIAN)


@pytest.fixture
def device(client_for: Callable[[User], Client], works: Works) -> Callable[..., TabletDevice]:
    """A tablet of a person, the job's technician unless said."""

    def made(user: User | None = None, **facts: object) -> TabletDevice:
        person = user or works.technician
        return TabletDevice(client_for(person), person, works.job, **facts)

    return made
