"""Numbers given out once, and every move of a quote or job with who and when."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from shopapp.accounts.models import Shop
from shopapp.jobs.models.job import Job
from shopapp.jobs.models.quote import Quote


class Counter(models.Model):
    """The last number given out of a series, for each shop."""

    shop = models.ForeignKey(Shop, on_delete=models.CASCADE, related_name="counters")
    series = models.CharField(max_length=10)
    last = models.PositiveIntegerField(default=1000)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["shop", "series"], name="counter_once")]

    def __str__(self) -> str:
        return f"{self.series} {self.last}"


class Move(models.Model):
    """One move from state to state: by whom, when, why."""

    quote = models.ForeignKey(
        Quote, on_delete=models.CASCADE, related_name="moves", null=True, blank=True
    )
    job = models.ForeignKey(
        Job, on_delete=models.CASCADE, related_name="moves", null=True, blank=True
    )
    before = models.CharField(max_length=12, blank=True)
    after = models.CharField(max_length=12)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    by_name = models.CharField("name, where it is no user", max_length=120, blank=True)
    at = models.DateTimeField(default=timezone.now)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(
                name="move_of_quote_or_job",
                condition=Q(quote__isnull=False, job__isnull=True)
                | Q(quote__isnull=True, job__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.before} → {self.after}"

    @property
    def words(self) -> str:
        """Where it went, in the words of the state; "Note" where it stayed."""
        states = Quote.State if self.quote_id else Job.State
        return "Note" if self.before == self.after else states(self.after).label
