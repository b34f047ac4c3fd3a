"""A loop that a person can stop: it ends after the present pass, and outlives a database pause."""

import logging
import signal
import threading
from collections.abc import Callable
from types import FrameType

from django.db import InterfaceError, OperationalError, close_old_connections, connection

log = logging.getLogger(__name__)

PAUSE_AT_MOST = 10.0


class Loop:
    """Calls a pass over and over until SIGTERM or SIGINT (or `stop`) asks it to end."""

    def __init__(self, *, idle_seconds: float) -> None:
        self.idle_seconds = idle_seconds
        self._end = threading.Event()
        self._pause = idle_seconds

    def stopped(self) -> bool:
        """Whether it was asked to end."""
        return self._end.is_set()

    def stop(self, _signal: int = 0, _frame: FrameType | None = None) -> None:
        """Ask it to end; the row in hand is finished first."""
        self._end.set()

    def listen(self) -> None:
        """Let the usual signals stop it."""
        signal.signal(signal.SIGTERM, self.stop)
        signal.signal(signal.SIGINT, self.stop)

    def run(self, one_pass: Callable[[], int]) -> None:
        """Pass after pass; a pass that did nothing is followed by a short rest."""
        while not self.stopped():
            if not self._guarded(one_pass):
                self._end.wait(self._pause)

    def _guarded(self, one_pass: Callable[[], int]) -> int:
        close_old_connections()
        try:
            done = one_pass()
        except (OperationalError, InterfaceError) as fault:
            self._pause = min(PAUSE_AT_MOST, max(1.0, self._pause * 2))
            log.warning("the database is away (%s); next look in %.0f s", fault, self._pause)
            connection.close()
            return 0
        self._pause = self.idle_seconds
        return done
