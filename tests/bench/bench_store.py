"""The store's pages with 10,000 open pick lists: queries are asserted, times are for reading.

Run with `make bench`. `DESK_BENCH_LISTS` is how many lists.
"""

import os
import statistics
import time

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shopapp.jobs.models import Job, PickLine, PickList
from shopapp.stock.models import PurchaseLine, PurchaseOrder, StockItem
from tests.jobs.store_world import Store

MANY = int(os.environ.get("DESK_BENCH_LISTS", "10000"))
ROUNDS = 3
MOST_QUERIES = 15
LINES = 6


@pytest.fixture
def store(shop, parts_person) -> Store:
    """So many open lists of six lines, a third of them short of something."""
    made = Store(shop, parts_person)
    items = [made.shelf(part, 100_000) for part in (made.lead, made.cable, made.box, made.longer)]
    order = PurchaseOrder.objects.create(shop=shop, number="PO-1001", supplier=made.supplier)
    PurchaseLine.objects.create(order=order, position=1, part=made.lead, quantity=50)
    jobs = Job.objects.bulk_create(
        Job(
            shop=shop,
            number=f"J-{10_000 + number}",
            boat=made.boat,
            customer=made.boat.customer,
            title=f"Visit {number}",
            state="waiting" if number % 3 == 0 else "ready",
            planned_on=f"2026-12-{number % 28 + 1:02d}",
        )
        for number in range(MANY)
    )
    lists = PickList.objects.bulk_create(PickList(job=job) for job in jobs)
    PickLine.objects.bulk_create(
        (_line(one, number, items[number % 4]) for one in lists for number in range(LINES)),
        batch_size=5000,
    )
    StockItem.objects.filter(pk__in=[item.pk for item in items]).update(reserved=MANY * 2)
    return made


def _line(pick_list: PickList, number: int, item: StockItem) -> PickLine:
    short = number == 5 and pick_list.pk % 3 == 0
    return PickLine(
        pick_list=pick_list,
        position=number + 1,
        part=item.part,
        wanted=1,
        stock=None if short else item,
        reserved=0 if short else 1,
        state="short" if short else "reserved",
    )


def test_the_stores_pages_with_many_open_lists(store, parts_person, client_for):
    client: Client = client_for(parts_person)
    job = Job.objects.order_by("pk").first()
    line = PickLine.objects.filter(state="short").first()
    pages = [
        "/store/", "/store/?step=short", "/store/?step=pick", "/store/?step=stage",
        "/store/?q=J-19",
        "/store/?page=150", f"/store/jobs/{job.pk}/", f"/store/lines/{line.pk}/instead/",
        "/store/shortages/", "/store/orders/", "/store/orders/?state=", "/store/leftovers/",
        "/parts/", "/parts/counts/", f"/parts/{store.lead.pk}/", f"/parts/{store.lead.pk}/supply/",
    ]  # fmt: skip
    print(f"\n{MANY:,} open pick lists, {MANY * LINES:,} lines, {connection.vendor}")
    for path in pages:
        times = []
        for _ in range(ROUNDS):
            with CaptureQueriesContext(
                connection,
            ) as queries:
                began = time.perf_counter()
                answer = client.get(path)
                times.append((time.perf_counter() - began) * 1000)
            assert answer.status_code == 200, path
        print(
            f"  {path:28} {statistics.median(times):7.0f} ms median, {max(times):7.0f} slowest,"
            f" {len(queries):3} queries"
        )
        assert len(queries) <= MOST_QUERIES, path
