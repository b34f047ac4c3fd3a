"""Two hundred people press for the last fifty pieces: fifty get one, no piece is given twice."""

import os
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import psycopg
import pytest

from tests.fault.desk import Desk

POSTGRES = os.environ.get("DESK_TEST_DATABASE_URL", "postgres://postgres@127.0.0.1:5432/postgres")
THREADS, PIECES = 200, 50
# Tables straight from the models: the constraints are those of the migrations, only quicker.
LAY = """
import json
from django.conf import settings
settings.MIGRATION_MODULES = type(
    "None_", (), {"__contains__": lambda s, n: True, "__getitem__": lambda s, n: None}
)()
from django.core.management import call_command
call_command("migrate", run_syncdb=True, verbosity=0)
print(json.dumps("laid"))
"""
PRESS = """
import json, threading, time
from django.db import OperationalError, connections
from shopapp.accounts.models import Shop
from shopapp.catalog.models import Part
from shopapp.stock.models import Movement, StockItem
from shopapp.stock.services import book, reserve

shop = Shop.objects.create(name="Fault Bench")
part = Part.objects.create(shop=shop, number="LD-1", name="Lead", kind="lead")
for place in ("A1", "Van 1"):
    item = StockItem.objects.create(shop=shop, part=part, place=place)
    book(item, "receive", on_hand=%(pieces)d // 2)
barrier, given, tries = threading.Barrier(%(threads)d), [], []
# The server takes only so many connections; all threads are there, and press as they get one.
gate = threading.BoundedSemaphore(%(gate)d)

def press(number):
    barrier.wait()
    with gate:
        try:
            end = time.monotonic() + 240
            while True:
                try:
                    given.append(sum(n for _, n in reserve(part=part, count=1, ref=f"J-{number}")))
                    return
                except OperationalError as error:
                    # A database of one file makes people wait; nobody is turned away for that.
                    connections.close_all()
                    if "locked" not in str(error) or time.monotonic() > end:
                        raise
                    tries.append(number)
        finally:
            connections.close_all()

threads = [threading.Thread(target=press, args=[one]) for one in range(%(threads)d)]
for one in threads: one.start()
for one in threads: one.join()
moved = Movement.objects.filter(kind="reserve")
print(json.dumps({
    "pressed": len(given),
    "got": sum(given),
    "reserved": sum(StockItem.objects.values_list("reserved", flat=True)),
    "on_hand": sum(StockItem.objects.values_list("on_hand", flat=True)),
    "movements": moved.count(),
    "jobs": moved.values("ref").distinct().count(),
}))
"""


@pytest.fixture
def postgres(tmp_path: Path) -> Iterator[Desk]:
    """A desk on a database of its own; dropped at the end."""
    try:
        server = psycopg.connect(POSTGRES, autocommit=True, connect_timeout=2)
    except psycopg.OperationalError:
        pytest.skip("no PostgreSQL answers; name one in DESK_TEST_DATABASE_URL")
    name = f"desk_fault_{os.getpid()}"
    server.execute(f"CREATE DATABASE {name}")
    desk = Desk(tmp_path / "desk", {"DESK_DATABASE_URL": _with_name(POSTGRES, name)})
    yield desk
    desk.end()
    server.execute(f"DROP DATABASE {name} WITH (FORCE)")
    server.close()


def _with_name(address: str, name: str) -> str:
    return urlsplit(address)._replace(path=f"/{name}").geturl()


def press(desk: Desk, *, at_once: int) -> dict[str, int]:
    desk.tell(LAY)
    facts = {"threads": THREADS, "pieces": PIECES, "gate": at_once}
    return desk.tell(PRESS % facts)


def check(said: dict[str, int], where: str) -> None:
    lost = PIECES - said["got"]
    doubled = said["reserved"] - PIECES + said["movements"] - said["jobs"]
    print(
        f"\n{THREADS} threads for the last {PIECES} pieces on {where}: "
        f"lost {lost}, doubled {doubled}"
    )
    assert said["pressed"] == THREADS
    assert (said["got"], said["reserved"], said["on_hand"]) == (PIECES, PIECES, PIECES)
    assert (lost, doubled) == (0, 0)


def test_on_sqlite_exactly_the_last_pieces_are_given(tmp_path: Path) -> None:
    desk = Desk(tmp_path / "desk")
    check(press(desk, at_once=THREADS), "SQLite")


def test_on_postgresql_exactly_the_last_pieces_are_given(postgres: Desk) -> None:
    check(press(postgres, at_once=60), "PostgreSQL, 60 connections at a time")
