"""A broker that is away, and a real one whose worker and messages are lost."""

from collections.abc import Callable

import pytest
import redis

from tests.fault.desk import Desk, report, wait_until
from tests.fault.test_killed import all_ready, ready_count

Ask = Callable[[Desk, int], None]
NOWHERE = "redis://127.0.0.1:1/0"
HERE = "redis://127.0.0.1:6379/13"
RING_FOR_NOBODY = """
import json, time
from shopapp.work.services import send
began = time.monotonic()
assert not any([send("document", 1) for _ in range(3)])
print(json.dumps(time.monotonic() - began))
"""
CELERY = ("-m", "celery", "-A", "shopapp", "worker", "--concurrency=1", "--loglevel=ERROR")


@pytest.fixture
def broker() -> redis.Redis:
    """A Redis database of the test's own."""
    found = redis.Redis.from_url(HERE, socket_connect_timeout=1)
    try:
        found.ping()
    except redis.ConnectionError:
        pytest.skip("no Redis answers at 127.0.0.1:6379")
    found.flushdb()
    yield found
    found.flushdb()
    found.close()


def test_with_the_broker_away_papers_wait_and_pages_do_not_hang(desk: Desk, ask: Ask) -> None:
    desk.more["DESK_BROKER_URL"] = NOWHERE
    ask(desk, 3)
    assert desk.tell(RING_FOR_NOBODY) < 3
    assert {row["row_state"] for row in desk.papers()} == {"requested"}
    desk.manage("sweep", "--once")
    assert {row["row_state"] for row in desk.papers()} == {"requested"}
    desk.manage("work", "--once")
    assert report("broker away, then the embedded worker over 3 papers", desk) == (0, 0)


def test_celery_makes_the_papers_that_its_bell_rang_for(
    desk: Desk, ask: Ask, broker: redis.Redis
) -> None:
    desk.more["DESK_BROKER_URL"] = HERE
    desk.start(*CELERY)
    ask(desk, 4)
    assert wait_until(lambda: all_ready(desk), seconds=60)
    assert report("Celery over Redis, 4 papers", desk) == (0, 0)


def test_killed_celery_and_lost_messages_are_made_good_by_the_sweeper(
    desk: Desk, ask: Ask, broker: redis.Redis
) -> None:
    desk.more["DESK_BROKER_URL"] = HERE
    ask(desk, 12)
    worker = desk.start(*CELERY)
    assert wait_until(lambda: ready_count(desk) >= 3, seconds=60)
    desk.kill(worker)
    broker.flushdb()
    left = 12 - ready_count(desk)
    assert left > 0
    desk.start(*CELERY)
    desk.start("manage.py", "sweep", "--idle-seconds", "1")
    assert wait_until(lambda: all_ready(desk), seconds=120)
    tried = f"Celery killed and Redis emptied with {left} of 12 papers unmade, then the sweeper"
    assert report(tried, desk) == (0, 0)
