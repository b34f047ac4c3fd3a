"""A fleet for every test of the room."""

import pytest

from tests.fleet.world import Fleet


@pytest.fixture
def fleet(shop):
    return Fleet(shop)
