"""One prepared desk, copied for each test."""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
import pytest

from tests.fault.desk import Desk

POSTGRES = "postgres://postgres@127.0.0.1:5432/postgres"
WORLD = """
import json
from shopapp.accounts.models import Shop, User
from shopapp.fleet.services.weekly import day_at, last_sunday
from shopapp.jobs.models import FleetSheet
from tests.jobs.papers_world import sent_quote
shop = Shop.objects.create(name="Fault Bench")
# The week's sheet is there: no paper is made that no test asked for.
FleetSheet.objects.create(shop=shop, ends_on=last_sunday(day_at(shop).date()), facts={})
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


@pytest.fixture(scope="session")
def prepared_on_postgres(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a PostgreSQL database of twelve sent quotes, to be copied."""
    with database_named(f"desk_fault_{os.getpid()}") as address:
        desk = Desk(tmp_path_factory.mktemp("on-postgres"), {"DESK_DATABASE_URL": address})
        desk.manage("migrate", "--verbosity", "0")
        desk.tell(WORLD)
        yield address


@pytest.fixture
def desk_on_postgres(prepared_on_postgres: str, tmp_path: Path) -> Iterator[Desk]:
    """A fresh copy on PostgreSQL; what it started is ended with the test."""
    source = prepared_on_postgres.rsplit("/", 1)[1]
    with database_named(f"{source}_copy", source) as address:
        desk = Desk(tmp_path, {"DESK_DATABASE_URL": address})
        yield desk
        desk.end()


@contextmanager
def database_named(name: str, source: str = "template1") -> Iterator[str]:
    """The address of a database that lives while the block runs; skips without PostgreSQL."""
    server = os.environ.get("DESK_TEST_DATABASE_URL", POSTGRES)
    try:
        admin = psycopg.connect(server, autocommit=True, connect_timeout=2)
    except psycopg.OperationalError:
        pytest.skip("no PostgreSQL answers")
    with admin:
        admin.execute(f'CREATE DATABASE "{name}" TEMPLATE "{source}"')
        try:
            yield f"{server.rsplit('/', 1)[0]}/{name}"
        finally:
            admin.execute(f'DROP DATABASE "{name}" WITH (FORCE)')


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
