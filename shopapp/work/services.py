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


def send(kind: str, pk: int) -> bool:
    """Send one message now and mark the row as rung; False where the broker is away."""
    try:
        run_row_task.apply_async(args=[kind, pk], retry=False)
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
        waiting = kind.rows().to_ring(now).order_by("requested_at", "pk")
        for pk in waiting.values_list("pk", flat=True)[:SWEEP_AT_MOST]:
            if not send(kind.name, pk):
                return sent
            sent += 1
    return sent
