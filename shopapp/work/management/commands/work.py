"""The embedded worker: it needs no broker; start it twice for two workers."""

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from shopapp.work.chores import Clock
from shopapp.work.loop import Loop
from shopapp.work.runner import open_rows, run_open


class Command(BaseCommand):
    """Advance open rows, oldest first, until stopped."""

    help = "Make the documents and plans that were asked for. Ctrl-C ends it after the present one."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--once", action="store_true", help="end when nothing is open")
        parser.add_argument("--idle-seconds", type=float, default=0.3, help="rest between looks")

    def handle(self, *, once: bool, idle_seconds: float, **_options: object) -> None:
        clock = Clock()
        if once:
            clock.run_due()
            # A row that fails is open again until its tries are used up, so this ends.
            while open_rows(timezone.now()):
                run_open()
            return
        loop = Loop(idle_seconds=idle_seconds)
        loop.listen()
        self.stdout.write("worker: ready")
        self.stdout.flush()
        loop.run(lambda: run_open(stopped=loop.stopped) + clock.run_due())
        self.stdout.write("worker: ended")
