"""The week on a board: days across, technicians down, planned hours in each square."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, timedelta

from shopapp.accounts.models import Shop, User
from shopapp.jobs.models import Job

# A working day that a square may fill before the board says so; common practice, no source.
DAY_MINUTES = 8 * 60
DAYS = 7
WAITING_SHOWN = 40
ON_BOARD = ("scheduled", "on_job", "held", "done", "checked", "handed_over", "billed", "closed")


@dataclass
class Square:
    """One technician's day."""

    day: date
    jobs: list[Job] = field(default_factory=list)

    @property
    def minutes(self) -> int:
        """Planned minutes of the day."""
        return sum(job.minutes_planned for job in self.jobs)

    @property
    def over(self) -> int:
        """Minutes beyond a working day; 0 where they fit."""
        return max(0, self.minutes - DAY_MINUTES)

    @property
    def crowded(self) -> bool:
        """Whether several boats wait on one day, so that travel comes on top."""
        return len(self.jobs) > 1


@dataclass
class Row:
    """One technician's week."""

    technician: User
    squares: list[Square]

    @property
    def minutes(self) -> int:
        """Planned minutes of the week."""
        return sum(square.minutes for square in self.squares)


@dataclass
class Week:
    """A board: its days, its rows, and the ready jobs that no day holds yet."""

    days: list[date]
    rows: list[Row]
    waiting: list[Job]
    today: date

    @property
    def before(self) -> date:
        """The Monday of the week before."""
        return self.days[0] - timedelta(days=DAYS)

    @property
    def after(self) -> date:
        """The Monday of the week behind."""
        return self.days[0] + timedelta(days=DAYS)


def week_of(*, shop: Shop, day: date, today: date, technicians: list[User]) -> Week:
    """The board of the week that holds `day`; two queries whatever is on it."""
    monday = day - timedelta(days=day.weekday())
    days = [monday + timedelta(days=number) for number in range(DAYS)]
    rows = Job.objects.of(shop).defer("case", "plan", "ports").select_related("boat")
    planned = rows.filter(planned_on__range=(days[0], days[-1]), state__in=ON_BOARD)
    held: dict[tuple[int | None, date], list[Job]] = defaultdict(list)
    for job in planned.order_by("planned_on", "number"):
        held[job.technician_id, job.planned_on].append(job)
    return Week(
        days=days,
        rows=[
            Row(one, [Square(day, held.get((one.pk, day), [])) for day in days])
            for one in technicians
        ],
        waiting=list(rows.filter(state="ready").order_by("opened_at")[:WAITING_SHOWN]),
        today=today,
    )
