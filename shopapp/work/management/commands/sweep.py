"""The sweeper beside Celery: rings again for rows that nobody took."""

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from shopapp.work.chores import Clock
from shopapp.work.loop import Loop
from shopapp.work.services import sweep


class Command(BaseCommand):
    """Ring for open rows that were not rung lately, and for those past their lease."""

    help = "Beside Celery: ring again for rows that nobody took. The embedded worker needs it not."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--once", action="store_true", help="one pass")
        parser.add_argument("--idle-seconds", type=float, default=5.0, help="rest between passes")

    def handle(self, *, once: bool, idle_seconds: float, **_options: object) -> None:
        clock = Clock()
        if once:
            clock.run_due()
            self.stdout.write(f"sweeper: rang {sweep(timezone.now())}")
            return
        loop = Loop(idle_seconds=idle_seconds)
        loop.listen()
        self.stdout.write("sweeper: ready")
        self.stdout.flush()
        loop.run(lambda: _sweep_and_rest(clock))


def _sweep_and_rest(clock: Clock) -> int:
    sweep(timezone.now())
    clock.run_due()
    return 0  # a sweep is always followed by the rest: no flood
