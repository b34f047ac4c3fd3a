"""Four workers against one, over two hundred pick lists, on PostgreSQL and Redis.

Run with `make bench`. Papers are real and printed whole; the clock starts with the first paper
ready, so that the start of the workers does not count.
"""

import os
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import redis

from tests.fault.conftest import database_named
from tests.fault.desk import Desk, wait_until

PAPERS = 200
JOBS = 10
LEAST_RATIO = 1.7
REDIS = "redis://127.0.0.1:6379/11"
WORLD = f"""
import json
from shopapp.accounts.models import Shop, User
from shopapp.jobs.models import Document
from tests.jobs.papers_world import open_job
shop = Shop.objects.create(name="Bench")
user = User.objects.create(shop=shop, username="mona", role="manager")
for _ in range({JOBS}):
    open_job(user)
Document.objects.all().delete()
print(json.dumps("ready"))
"""
ASK = f"""
import json
from django.db import transaction
from shopapp.jobs.models import Document, Job
from shopapp.work.services import ring
Document.objects.all().delete()
jobs = list(Job.objects.order_by("pk"))
with transaction.atomic():
    rows = Document.objects.bulk_create(
        Document(shop_id=job.shop_id, kind="pick_list", job=job, version=version)
        for version in range(1, {PAPERS} // len(jobs) + 1) for job in jobs
    )
    for row in rows:
        ring("document", row.pk)
print(json.dumps(len(rows)))
"""


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A desk of ten open jobs on PostgreSQL, its bell in Redis."""
    found = redis.Redis.from_url(REDIS, socket_connect_timeout=1)
    try:
        found.flushdb()
    except redis.ConnectionError:
        pytest.skip("no Redis answers")
    with database_named(f"desk_bench_{os.getpid()}") as address:
        desk = Desk(tmp_path, {"DESK_DATABASE_URL": address, "DESK_BROKER_URL": REDIS})
        desk.more["DESK_WORK_LEASE_SECONDS"] = "60"
        desk.manage("migrate", "--verbosity", "0")
        desk.tell(WORLD)
        yield desk
        desk.end()
    found.flushdb()
    found.close()


def ready(desk: Desk) -> int:
    return sum(row["row_state"] == "ready" for row in desk.papers())


def seconds_for(desk: Desk, workers: int) -> float:
    """From the first paper ready to the last, with so many workers."""
    assert desk.tell(ASK) == PAPERS
    celery = ("-m", "celery", "-A", "shopapp", "worker", "--loglevel=ERROR")
    process = desk.start(*celery, f"--concurrency={workers}")
    assert wait_until(lambda: ready(desk) >= workers, seconds=120)
    began, done = time.perf_counter(), ready(desk)
    assert wait_until(lambda: ready(desk) == PAPERS, seconds=900)
    spent = time.perf_counter() - began
    desk.kill(process)
    return spent * PAPERS / (PAPERS - done)


def test_four_workers_make_two_hundred_papers_faster_than_one(desk: Desk) -> None:
    load = os.getloadavg()[0]
    one = seconds_for(desk, 1)
    four = seconds_for(desk, 4)
    print(
        f"\n{PAPERS} pick lists on PostgreSQL and Redis, {os.cpu_count()} cores, "
        f"load before {load:.1f}: one worker {one:.1f} s, four {four:.1f} s, "
        f"ratio {one / four:.2f}"
    )
    assert one / four >= LEAST_RATIO
