"""One prepared desk, copied for each test."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.fault.desk import Desk

WORLD = """
import json
from shopapp.accounts.models import Shop, User
from tests.jobs.papers_world import sent_quote
shop = Shop.objects.create(name="Fault Bench")
user = User.objects.create(shop=shop, username="mona", role="manager")
for _ in range(12):
    sent_quote(user)
print(json.dumps("ready"))
"""


@pytest.fixture(scope="session")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    """A desk of twelve sent quotes."""
    desk = Desk(tmp_path_factory.mktemp("prepared"))
    desk.manage("migrate", "--verbosity", "0")
    desk.tell(WORLD)
    return desk


@pytest.fixture
def desk(prepared: Desk, tmp_path: Path) -> Iterator[Desk]:
    """A fresh copy; what it started is ended with the test."""
    copy = prepared.copy_to(tmp_path / "desk")
    yield copy
    copy.end()


@pytest.fixture
def ask() -> Callable[[Desk, int], None]:
    """Ask for the quote's paper of so many quotes, each in its own transaction."""

    def wanted(desk: Desk, count: int) -> None:
        desk.tell(
            "import json\n"
            "from shopapp.jobs.models import Quote\n"
            "from shopapp.jobs.services.papers import request_document\n"
            f"for quote in Quote.objects.all()[:{count}]:\n"
            "    request_document(kind='quote', by=None, quote=quote)\n"
            "print(json.dumps('asked'))"
        )

    return wanted
