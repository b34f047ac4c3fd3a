"""What a count of the fleet reads: who was looked at and when, what is aboard, what was noted."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby
from operator import itemgetter

from django.db.models import Max
from django.utils import timezone

from shopapp.accounts.models import Shop
from shopapp.boats.models import Evidence, Unit
from shopapp.fleet.counting import QUARTERS, NoteSeen, Seen
from shopapp.jobs.models import Job, Problem

CHUNK = 5000
YEAR_DAYS = 365.25
WATCHES = (30, 90)


@dataclass(frozen=True)
class Period:
    """So many months of 30 days, up to and with a day, in eight equal slices."""

    months: int
    ends_on: date

    @property
    def begins_on(self) -> date:
        """Its first day."""
        return self.ends_on - timedelta(days=30 * self.months)

    @property
    def begins_at(self) -> datetime:
        """The moment at which it begins, by the shop's clock."""
        return timezone.make_aware(datetime.combine(self.begins_on, datetime.min.time()))

    @property
    def slice_days(self) -> float:
        """Days in one slice."""
        return 30 * self.months / QUARTERS

    def slice_of(self, day: date) -> int:
        """In which slice a day lies, held to the ends."""
        place = int((day - self.begins_on).days / self.slice_days)
        return max(0, min(QUARTERS - 1, place))

    def starts(self) -> list[date]:
        """The first day of each slice."""
        return [
            self.begins_on + timedelta(days=round(self.slice_days * n)) for n in range(QUARTERS)
        ]

    def years(self, since: date, until: date) -> tuple[float, ...]:
        """Years between two days that fall into each slice."""
        first = (max(since, self.begins_on) - self.begins_on).days
        last = (min(until, self.ends_on) - self.begins_on).days
        edges = [self.slice_days * n for n in range(QUARTERS + 1)]
        return tuple(
            max(0.0, min(last, edges[n + 1]) - max(first, edges[n])) / YEAR_DAYS
            for n in range(QUARTERS)
        )


def last_looks(shop: Shop) -> dict[int, date]:
    """The day on which each boat was last looked at: evidence, a job done, or a note."""
    found: dict[int, date] = {}
    sources = (
        (Evidence.objects.filter(boat__shop=shop), "seen_at"),
        (Job.objects.of(shop).filter(done_at__isnull=False), "done_at"),
        (Problem.objects.of(shop), "noted_at"),
    )
    for rows, moment in sources:
        latest = rows.order_by().values_list("boat").annotate(Max(moment))
        for boat, at in latest.iterator(chunk_size=CHUNK):
            day = timezone.localdate(at)
            if boat not in found or found[boat] < day:
                found[boat] = day
    return found


def boats_seen(shop: Shop, period: Period, looks: dict[int, date]) -> Iterator[Seen]:
    """Boats in service looked at in the period, with what is aboard; read in a stream."""
    rows = Unit.objects.of(shop).aboard().filter(boat__retired_at__isnull=True)
    names = ("boat_id", "model_id", "release_id", "model__kind", "fitted_on")
    stream = rows.order_by("boat_id").values_list(*names).iterator(chunk_size=CHUNK)
    for boat, group in groupby(stream, key=itemgetter(0)):
        look = looks.get(boat)
        if look is None or look < period.begins_on:
            continue
        units = list(group)
        aboard = tuple(sorted((m, r or 0, kind == "switch") for _, m, r, kind, _ in units))
        fitted = [day for *_, day in units if day]
        since = min(fitted) if len(fitted) == len(units) else period.begins_on
        yield Seen(boat, aboard, period.years(since, look))


def notes_seen(shop: Shop, period: Period) -> Iterator[NoteSeen]:
    """Notes of the period that name a model."""
    rows = Problem.objects.of(shop).filter(model__isnull=False, noted_at__gte=period.begins_at)
    names = (
        "boat_id", "model_id", "release_id", "counterpart_id", "switch_id", "noted_at",
        "symptom", "minutes_lost",
    )  # fmt: skip
    for boat, model, release, other, switch, at, symptom, minutes in (
        rows.order_by().values_list(*names).iterator(chunk_size=CHUNK)
    ):
        place = period.slice_of(timezone.localdate(at))
        yield NoteSeen(boat, model, release or 0, other or 0, switch or 0, place, symptom, minutes)


def sums_by_slice(shop: Shop, period: Period) -> list[dict]:
    """Jobs done, comebacks within 30 and 90 days, minutes and money lost, come back; by slice.

    A job counts for a watch only when that many days have passed since it was done. A comeback is
    a note on the same boat on another job within the watch.
    """
    sums = [defaultdict(int) for _ in range(QUARTERS)]
    noted = defaultdict(list)
    names = ("boat_id", "job_id", "noted_at", "minutes_lost", "lost_cents", "claimed_cents",
             "recovered_cents")  # fmt: skip
    rows = Problem.objects.of(shop).filter(noted_at__gte=period.begins_at).order_by()
    for boat, job, at, *amounts in rows.values_list(*names).iterator(chunk_size=CHUNK):
        noted[boat].append((at, job))
        row = sums[period.slice_of(timezone.localdate(at))]
        row["notes"] += 1
        for name, amount in zip(("minutes", "lost", "claimed", "back"), amounts, strict=True):
            row[name] += amount
    _count_comebacks(shop, period, noted, sums)
    return [dict(row) for row in sums]


def _count_comebacks(shop: Shop, period: Period, noted: dict, sums: list) -> None:
    end = period.begins_at + timedelta(days=30 * period.months + 1)
    jobs = Job.objects.of(shop).filter(done_at__gte=period.begins_at).order_by()
    for boat, job, done in jobs.values_list("boat_id", "pk", "done_at").iterator(chunk_size=CHUNK):
        row = sums[period.slice_of(timezone.localdate(done))]
        row["jobs"] += 1
        for days in WATCHES:
            until = done + timedelta(days=days)
            if until <= end:
                row[f"watched{days}"] += 1
                row[f"comebacks{days}"] += any(
                    done < at <= until and other != job for at, other in noted.get(boat, ())
                )
