"""What the desk's clock does by itself: small duties, each safe to do twice and by two workers.

A duty keeps no row of its own: it asks the records what is due, and its moves are
compare-and-set, so that a worker that starts late or twice does no harm.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Chore:
    """A duty: `run()` does what is due now and says how many things it did."""

    name: str
    every_seconds: float
    run: Callable[[], int]


CHORES: dict[str, Chore] = {}


def register_chore(chore: Chore) -> None:
    """Make a duty known to workers and sweepers; once a name."""
    CHORES[chore.name] = chore


class Clock:
    """Remembers when each duty was done last in this process; each is due at the start."""

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        self.now = now
        self._next: dict[str, float] = {}

    def run_due(self) -> int:
        """Do every duty that is due; how many things were done."""
        done = 0
        for chore in CHORES.values():
            if self.now() >= self._next.get(chore.name, float("-inf")):
                done += chore.run()
                self._next[chore.name] = self.now() + chore.every_seconds
        return done
