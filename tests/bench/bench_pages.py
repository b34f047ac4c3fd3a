"""How long the pages take on the server: with the demo's 60 boats, and lists with 100,000.

Run with `make bench`. Prints the median and the slowest of each page and its queries; only the
number of queries is asserted, times are for reading.
"""

import os
import statistics
import time
from collections.abc import Iterator

import pytest
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat, Location, Unit
from shopapp.boats.services.words import freshen
from shopapp.catalog.models import EquipmentModel
from shopapp.customers.models import Customer
from shopapp.jobs.models import Job, Quote, Survey

MANY = int(os.environ.get("DESK_BENCH_BOATS", "100000"))
ROUNDS = 9
MOST_QUERIES = 15
LISTS = (
    "/boats/",
    "/boats/?q=heron",
    "/boats/?q=nothing+like+it",
    "/boats/?page=400",
    "/boats/units/?q=LA12",
    "/customers/",
    "/customers/?q=hartwell",
    "/quotes/",
    "/jobs/",
    "/jobs/?q=heron",
    "/parts/",
    "/catalogue/models/",
    "/statements/",
    "/enquiries/",
    "/surveys/",
    "/problems/",
    "/search/?q=heron",
    "/search/?q=nothing+like+it",
)


def own_pages() -> Iterator[str]:
    """Pages of one record each, with a quote and a job that carry a plan."""
    quote = Quote.objects.filter(state="sent").order_by("pk").first()
    job = Job.objects.exclude(plan={}).order_by("-pk").first()
    yield from ("/", "/jobs/board/", "/fleet/", "/statements/1/", "/catalogue/models/5/")
    yield from (f"/boats/{quote.boat_id}/", f"/boats/{quote.boat_id}/survey/units/")
    yield from (f"/boats/{quote.boat_id}/plan/", f"/plans/{quote.run_id}/")
    yield from (f"/quotes/{quote.pk}/", f"/q/{quote.token}/")
    yield from (f"/jobs/{job.pk}/", f"/jobs/{job.pk}/work/")
    yield f"/surveys/{Survey.objects.order_by('pk').first().pk}/"


def measure(client: Client, path: str) -> tuple[float, float, float, int]:
    """(median ms, slowest ms, median ms of processor, queries) of a page after one warm-up."""
    assert client.get(path).status_code == 200, path
    with CaptureQueriesContext(connection) as queries:
        client.get(path)
    count = len(queries)  # now: the next request empties the log
    took, own = [], []
    for _ in range(ROUNDS):
        began, worked = time.perf_counter(), time.process_time()
        client.get(path)
        took.append((time.perf_counter() - began) * 1000)
        own.append((time.process_time() - worked) * 1000)
    return statistics.median(took), max(took), statistics.median(own), count


def print_table(client: Client, title: str, paths: Iterator[str] | tuple[str, ...]) -> None:
    """One line a page."""
    print(f"\n{title}\n{'page':42} {'median':>8} {'slowest':>8} {'own':>8} queries")
    for path in paths:
        median, slowest, own, queries = measure(client, path)
        shown = path if len(path) < 42 else f"{path[:38]}…"
        print(f"{shown:42} {median:6.1f}ms {slowest:6.1f}ms {own:6.1f}ms {queries:5}")
        assert queries <= MOST_QUERIES, path


def add_boats(count: int) -> None:
    """More boats, each with an owner, a place and a unit, in bulk."""
    shop = Shop.objects.get()
    models = list(EquipmentModel.objects.of(shop).filter(kind="display"))
    for start in range(0, count, 5000):
        numbers = range(start, min(start + 5000, count))
        owners = Customer.objects.bulk_create(
            Customer(shop=shop, name=f"Owner {n:06d}", search=f"owner {n:06d}") for n in numbers
        )
        boats = [
            Boat(shop=shop, customer=owner, name=f"Boat {n:06d}", length_ft=20 + n % 20)
            for n, owner in zip(numbers, owners, strict=True)
        ]
        for boat in boats:
            freshen(boat)
        Boat.objects.bulk_create(boats)
        places = Location.objects.bulk_create(Location(boat=boat, name="helm") for boat in boats)
        Unit.objects.bulk_create(
            Unit(
                boat=place.boat,
                name="d1",
                model=models[n % len(models)],
                location=place,
                serial=f"ZZ{n:07d}",
            )
            for n, place in zip(numbers, places, strict=True)
        )


@pytest.fixture
def client(db: None) -> Client:
    """The owner of the system, signed in on the demo's 60 boats."""
    call_command("demo", "--boats", "60")
    client = Client()
    client.force_login(User.objects.get(username="orla"))
    return client


def test_pages_with_sixty_boats_and_lists_with_many(client: Client) -> None:
    print_table(client, "60 boats", (*LISTS, *own_pages()))
    add_boats(MANY - Boat.objects.count())
    print_table(client, f"{MANY:,} boats", LISTS)
