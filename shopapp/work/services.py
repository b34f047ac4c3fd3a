"""Ring the worker's bell after commit, and again for rows that nobody took."""

import logging
from datetime import datetime
from functools import partial

from django.conf import settings
from django.db import transaction
from kombu.exceptions import OperationalError

from shopapp.work.registry import KINDS
from shopapp.work.tasks import run_row_task

log = logging.getLogger(__name__)

SWEEP_AT_MOST = 100


def ring(kind: str, pk: int) -> None:
    """Once the present transaction is committed, tell a worker of the row.

    Without a broker nothing is sent: the embedded worker looks for itself. With the broker away
    the row stays requested, and the sweeper rings again.
    """
    if settings.BROKER_URL:
        transaction.on_commit(partial(send, kind, pk))


def ring_all(kind: str, pks: list[int]) -> None:
    """The bell for a whole batch, once committed: in a queue of its own, so that none waits for it.

    The first message that finds the broker away ends it; the sweeper rings for the rest.
    """
    if settings.BROKER_URL:
        transaction.on_commit(lambda: all(send(kind, pk, bulk=True) for pk in pks) or None)


def send(kind: str, pk: int, *, bulk: bool = False) -> bool:
    """Send one message now and mark the row as rung; False where the broker is away."""
    queue = settings.BULK_QUEUE if bulk else settings.CELERY_TASK_DEFAULT_QUEUE
    try:
        run_row_task.apply_async(args=[kind, pk], retry=False, queue=queue)
    except OperationalError as fault:
        log.warning("the broker is away (%s); %s %s waits for the sweeper", fault, kind, pk)
        return False
    KINDS[kind].rows().filter(pk=pk).mark_rung()
    return True


def sweep(now: datetime) -> int:
    """Ring for open rows that were not rung within half a minute; how many messages went out.

    Rows whose lease ran out count as open; rows hopeless after every try are failed. At most
    `SWEEP_AT_MOST` a kind, and none after the first that finds the broker away.
    """
    sent = 0
    for kind in KINDS.values():
        kind.rows().give_up_hopeless(now)
        waiting = kind.rows().to_ring(now).oldest_first()
        for pk, bulk in waiting.values_list("pk", "in_bulk")[:SWEEP_AT_MOST]:
            if not send(kind.name, pk, bulk=bulk):
                return sent
            sent += 1
    return sent
