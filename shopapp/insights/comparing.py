"""Before and after a day, over the same boats and the same length of watch."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from shopapp.accounts.models import Shop
from shopapp.boats.models import Boat, Evidence, Unit
from shopapp.fleet.figures import before_and_after, percent, wilson
from shopapp.jobs.models import Job, Problem


@dataclass(frozen=True)
class Compared:
    """Boats watched on both sides of a day, and how many of them had a note on each."""

    day: date
    days: int
    watched: int
    before: int
    after: int

    @property
    def chance(self) -> float:
        """How easily chance alone would part the two counts so far."""
        return before_and_after(self.before, self.after)

    @property
    def chance_words(self) -> str:
        """The chance as people read it."""
        return "under 0.001" if self.chance < 0.001 else f"{self.chance:.3f}"

    def _words(self, count: int) -> str:
        if not self.watched:
            return "no boat was watched that long"
        low, high = wilson(count, self.watched)
        share = percent(count / self.watched)
        return f"{count} of {self.watched}: {share} % ({percent(low)} to {percent(high)} %)"

    @property
    def before_words(self) -> str:
        """`12 of 60: 20 % (11.8 to 31.8 %)`."""
        return self._words(self.before)

    @property
    def after_words(self) -> str:
        """The same after the day."""
        return self._words(self.after)


def compare(shop: Shop, *, model: int, counterpart: int | None, day: date, days: int) -> Compared:
    """Count a model's boats before and after a day; three queries.

    Watched are boats that carried it before the watch began, as far as the day of fitting is
    noted, and that were looked at after the watch was over. Notes on another model do not count.
    """
    middle = timezone.make_aware(datetime.combine(day, datetime.min.time()))
    begins, ends = middle - timedelta(days=days), middle + timedelta(days=days)
    boats = _watched(shop, model, counterpart, begins, ends)
    notes = Problem.objects.of(shop).filter(model=model, boat__in=boats.values("pk")).order_by()

    def affected(since: datetime, until: datetime) -> int:
        rows = notes.filter(noted_at__gte=since, noted_at__lt=until)
        return rows.values("boat").distinct().count()

    return Compared(day, days, boats.count(), affected(begins, middle), affected(middle, ends))


def _watched(
    shop: Shop, model: int, counterpart: int | None, begins: datetime, ends: datetime
) -> QuerySet[Boat]:
    here = {"boat": OuterRef("pk")}
    early = Q(fitted_on__isnull=True) | Q(fitted_on__lte=begins.date())
    rows = Boat.objects.of(shop).current()
    rows = rows.filter(Exists(Unit.objects.aboard().filter(early, **here, model=model)))
    if counterpart:
        rows = rows.filter(Exists(Unit.objects.aboard().filter(**here, model=counterpart)))
    return rows.filter(
        Exists(Evidence.objects.filter(**here, seen_at__gte=ends))
        | Exists(Job.objects.filter(**here, done_at__gte=ends))
        | Exists(Problem.objects.filter(**here, noted_at__gte=ends))
    )
