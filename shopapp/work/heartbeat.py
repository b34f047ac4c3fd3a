"""Keep a claim while long work goes on: its lease is renewed from a thread beside the work."""

import logging
import threading
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager

from django.conf import settings
from django.db import DatabaseError, InterfaceError, connection

from shopapp.work.models import LeasedQuerySet

log = logging.getLogger(__name__)

BEATS_A_LEASE = 3


class Heartbeat:
    """Renews one row's lease three times a lease until stopped, lost, or too old to be believed.

    Work that hangs for ever must not hold its row for ever: after `WORK_LONGEST_SECONDS` the
    lease is let go, so that another worker takes the row up.
    """

    def __init__(self, rows: LeasedQuerySet, pk: int, mark: uuid.UUID) -> None:
        self.rows, self.pk, self.mark = rows, pk, mark
        self.pause = settings.WORK_LEASE_SECONDS / BEATS_A_LEASE
        self.end = time.monotonic() + settings.WORK_LONGEST_SECONDS
        self.lost = False
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._run, name=f"heartbeat-{pk}", daemon=True)

    def start(self) -> None:
        """Begin; the first beat comes after one pause, so that short work never asks."""
        self._thread.start()

    def stop(self) -> None:
        """End it and wait until it has let go of its database connection."""
        self._over.set()
        self._thread.join()

    def _run(self) -> None:
        while not self._over.wait(self.pause) and time.monotonic() < self.end:
            if not self.beat():
                return

    def beat(self) -> bool:
        """Renew once; False where the claim is lost. With the database away it is not lost yet."""
        try:
            self.lost = not self.rows.renew(self.pk, self.mark)
        except (DatabaseError, InterfaceError) as fault:
            log.warning("the lease of %s could not be renewed: %s", self.pk, fault)
        finally:
            if threading.current_thread() is self._thread:
                connection.close()
        return not self.lost


@contextmanager
def held(rows: LeasedQuerySet, pk: int, mark: uuid.UUID) -> Iterator[Heartbeat]:
    """The claim is kept while the block runs, however long it takes."""
    beat = Heartbeat(rows, pk, mark)
    beat.start()
    try:
        yield beat
    finally:
        beat.stop()
