"""The week on a board: days across, technicians down, hours against capacity in each square."""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import pairwise

from django.db.models import Exists, F, OuterRef, QuerySet

from shopapp.accounts.models import Shop, User
from shopapp.jobs.models import Job, PickLine, PickList
from shopapp.ui.templatetags.ui import hours

DAYS = 7
WORKING_DAYS = 5
WAITING_SHOWN = 40
ON_BOARD = ("scheduled", "on_job", "held", "done", "checked", "handed_over", "billed", "closed")
MOVABLE = ("ready", "scheduled", "held")


@dataclass
class Square:
    """One technician's day; `trip_minutes` is the way to one marina and back."""

    day: date
    capacity: int
    trip_minutes: int
    jobs: list[Job] = field(default_factory=list)

    @property
    def minutes(self) -> int:
        """Planned minutes of the day, without the way."""
        return sum(job.minutes_planned for job in self.jobs)

    @property
    def travel(self) -> int:
        """Minutes on the way: one trip a marina; a boat whose place is not known is its own."""
        places = {job.boat.marina or f"boat {job.boat_id}" for job in self.jobs}
        return len(places) * self.trip_minutes

    @property
    def whole(self) -> int:
        """Work and way together."""
        return self.minutes + self.travel

    @property
    def over(self) -> int:
        """Minutes beyond the technician's day; 0 where they fit."""
        return max(0, self.whole - self.capacity) if self.jobs else 0

    @property
    def day_off(self) -> bool:
        """Whether work is planned on a day without working hours."""
        return bool(self.jobs) and self.capacity == 0

    @property
    def overlaps(self) -> list[tuple[Job, Job, int]]:
        """Jobs whose times of day run into each other: (earlier, later, minutes)."""
        timed = sorted(
            (job for job in self.jobs if job.planned_from), key=lambda job: job.planned_from
        )
        found = [(one, two, _overlap(self.day, one, two)) for one, two in pairwise(timed)]
        return [row for row in found if row[2] > 0]


def _overlap(day: date, one: Job, two: Job) -> int:
    end = datetime.combine(day, one.planned_from) + timedelta(minutes=one.minutes_planned)
    return int((end - datetime.combine(day, two.planned_from)).total_seconds() // 60)


@dataclass
class Row:
    """One technician's week."""

    technician: User
    squares: list[Square]

    @property
    def minutes(self) -> int:
        """Planned minutes of the week, with the way."""
        return sum(square.whole for square in self.squares)

    @property
    def capacity(self) -> int:
        """Working minutes of the week."""
        return sum(square.capacity for square in self.squares)


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


def with_parts(rows: QuerySet[Job]) -> QuerySet[Job]:
    """Each job with `parts_short` and `parts_wanted`; no query more."""
    lines = PickLine.objects.filter(pick_list__job=OuterRef("pk"), spare=False).exclude(
        pick_list__state=PickList.State.CANCELLED
    )
    short = lines.filter(wanted__gt=F("reserved")).filter(wanted__gt=F("picked"))
    short = short.exclude(pick_list__state=PickList.State.ISSUED)
    return rows.annotate(parts_short=Exists(short), parts_wanted=Exists(lines))


def week_of(*, shop: Shop, day: date, today: date, technicians: list[User]) -> Week:
    """The board of the week that holds `day`; two queries whatever is on it."""
    monday = day - timedelta(days=day.weekday())
    days = [monday + timedelta(days=number) for number in range(DAYS)]
    rows = with_parts(Job.objects.of(shop).defer("case", "plan", "ports").select_related("boat"))
    planned = rows.filter(planned_on__range=(days[0], days[-1]), state__in=ON_BOARD)
    held: dict[tuple[int | None, date], list[Job]] = defaultdict(list)
    for job in planned.order_by("planned_on", F("planned_from").asc(nulls_last=True), "number"):
        held[job.technician_id, job.planned_on].append(job)
    return Week(
        days=days,
        rows=[
            Row(
                one,
                [
                    Square(
                        day, capacity_of(one, day), shop.travel_minutes, held.get((one.pk, day), [])
                    )
                    for day in days
                ],
            )
            for one in technicians
        ],
        waiting=list(rows.filter(state="ready").order_by("opened_at")[:WAITING_SHOWN]),
        today=today,
    )


def capacity_of(technician: User, day: date) -> int:
    """The technician's working minutes of a day: none at the weekend (common practice)."""
    return technician.day_minutes if day.weekday() < WORKING_DAYS else 0


def day_notes(*, technician: User, day: date) -> list[str]:
    """What should be said of a technician's day, in words; nothing is forbidden. One query."""
    jobs = Job.objects.of(technician.shop).defer("case", "plan", "ports").select_related("boat")
    jobs = jobs.filter(technician=technician, planned_on=day, state__in=ON_BOARD)
    square = Square(day, capacity_of(technician, day), technician.shop.travel_minutes, list(jobs))
    return list(_notes(square))


def _notes(square: Square) -> list[str]:
    notes = []
    if square.day_off:
        notes.append("This is no working day.")
    elif square.over:
        notes.append(
            f"A long day: {hours(square.minutes)} of work and {hours(square.travel)} on the way "
            f"are {hours(square.over)} over {hours(square.capacity)}."
        )
    for one, two, minutes in square.overlaps:
        notes.append(f"{one} and {two} overlap by {hours(minutes)}.")
    return notes
