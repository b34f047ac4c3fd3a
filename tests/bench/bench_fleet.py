"""How the fleet's pages, counts and checks grow with the fleet, on the demo of each size.

Run with `make bench`; sizes by DESK_BENCH_FLEET (`1000`, or `1000,10000,100000`), each made anew;
`measure(shop)` also serves in a shell on a fleet that is there. Times are for reading; asserted is
the number of queries alone.
"""

import os
import resource
import statistics
import time
from collections.abc import Iterator

import pytest
from django.core.management import call_command
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat
from shopapp.fleet.models import RecheckPart
from shopapp.fleet.services.rechecks import ask_recheck
from shopapp.fleet.services.tallies import advance_tally, ask_tally, mark_of
from shopapp.work.runner import run_row

SIZES = os.environ.get("DESK_BENCH_FLEET", "1000")
ROUNDS = 7
MOST_QUERIES = 20
TOUCHED = (10, 100, 1000)


def pages_of(shop: Shop) -> Iterator[str]:
    """The fleet's pages and filters, with models that are aboard."""
    models = {model.code: model.pk for model in shop.models.all()}
    display, radar = models["lantern-10-3"], models["sweep-18"]
    yield from ("/fleet/", "/fleet/?show=all", "/fleet/?q=radar&show=all")
    yield from (f"/fleet/{radar}-0-{display}-0/", f"/fleet/{radar}-0-0-0/?boats=clear")
    yield from ("/fleet/known/", "/fleet/loose/", "/fleet/not-right/", "/fleet/drafts/")
    yield f"/fleet/ask/?a_model={display}&a_from=3.40&b_model={radar}"
    yield f"/fleet/ask/?a_model={display}&b_model={radar}&b_without=on&not_since=2026-01-01"
    yield "/fleet/ask/?kind=sail&least=3"
    yield "/fleet/ask/?q=heron"


def page_row(client: Client, address: str) -> str:
    """The median and slowest of some rounds, and the queries, as a line."""
    client.get(address)
    took = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        with CaptureQueriesContext(connection) as queries:
            assert client.get(address).status_code == 200
        took.append(1000 * (time.perf_counter() - begun))
    assert len(queries) <= MOST_QUERIES
    median = statistics.median(took)
    return f"| {address} | {median:.0f} | {max(took):.0f} | {len(queries)} |"


def count_seconds(shop: Shop) -> float:
    """Seconds of a worker for one count of twelve months."""
    begun = time.perf_counter()
    row = ask_tally(shop=shop, months=12, mark=mark_of(shop))
    advance_tally(row.pk)
    return time.perf_counter() - begun


def check_seconds(shop: Shop, boats: int) -> float:
    """Seconds from asking for a check of so many boats to its result."""
    pks = list(Boat.objects.of(shop).order_by("pk").values_list("pk", flat=True)[:boats])
    begun = time.perf_counter()
    row = ask_recheck(shop=shop, why=f"bench at {timezone.now()}", boats=pks)
    for part in RecheckPart.objects.filter(recheck=row, row_state="requested"):
        run_row("fleet_recheck", part.pk)
    return time.perf_counter() - begun


def measure(shop: Shop) -> None:
    """Print everything for the fleet at hand."""
    boats = Boat.objects.of(shop).count()
    print(f"\n{boats} boats: a count takes {count_seconds(shop):.1f} s")
    for touched in (*TOUCHED, boats):
        if touched <= boats:
            print(f"a check of {touched} boats takes {check_seconds(shop, touched):.2f} s")
    client = Client()
    client.force_login(User.objects.filter(shop=shop, role="manager").first())
    print("| page | median ms | slowest ms | queries |\n| --- | --- | --- | --- |")
    for address in pages_of(shop):
        print(page_row(client, address))
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(f"memory at its highest: {peak_mb} MB")


@pytest.mark.parametrize("boats", [int(size) for size in SIZES.split(",")])
@pytest.mark.django_db(transaction=True)
def test_the_fleet_grows(boats):
    begun = time.perf_counter()
    call_command("demo", boats=boats, seed=1)
    print(f"\nthe demo of {boats} boats was made in {time.perf_counter() - begun:.0f} s")
    measure(Shop.objects.get())
