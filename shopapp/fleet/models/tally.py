"""Counts of the fleet, made by the worker and kept: what recurs, on how many boats of how many."""

from django.db import models
from django.db.models import F, Q

from shopapp.accounts.models import Shop
from shopapp.catalog.models import EquipmentModel, Release
from shopapp.work.models import LeasedQuerySet, LeasedRow, RowState


class TallyQuerySet(LeasedQuerySet):
    """Questions about counts."""

    def newest(self, shop: Shop, months: int) -> "Tally | None":
        """The newest count that is ready."""
        rows = self.filter(shop=shop, months=months, row_state=RowState.READY)
        return rows.order_by("-finished_at", "-pk").first()


class Tally(LeasedRow):
    """One count over a period that ends on its day."""

    shop = models.ForeignKey(Shop, on_delete=models.CASCADE, related_name="tallies")
    months = models.PositiveSmallIntegerField("of 30 days")
    mark = models.CharField(max_length=80, help_text="The records as they stood when asked.")
    ends_on = models.DateField()
    boats = models.PositiveIntegerField(default=0)
    pairs = models.PositiveIntegerField(default=0)
    affected_pairs = models.PositiveIntegerField(default=0)
    tested = models.PositiveIntegerField("combinations looked at", default=0)
    years = models.FloatField(default=0)
    sums = models.JSONField(default=list, help_text="Jobs, comebacks, hours, money by slice.")

    objects = TallyQuerySet.as_manager()

    class Meta(LeasedRow.Meta):
        ordering = ["-requested_at"]
        indexes = [models.Index(fields=["shop", "months", "row_state", "-finished_at"])]

    def __str__(self) -> str:
        return f"count of {self.months} months to {self.ends_on}"

    @property
    def share(self) -> float:
        """The fleet's own rate, from 0 to 1."""
        return self.affected_pairs / self.pairs if self.pairs else 0.0


class Combination(models.Model):
    """One combination of a count: its boats, years, interval, and whether it stands out."""

    tally = models.ForeignKey(Tally, on_delete=models.CASCADE, related_name="combinations")
    place = models.PositiveIntegerField("rank, from 1")
    model = models.ForeignKey(EquipmentModel, on_delete=models.CASCADE, related_name="+")
    release = models.ForeignKey(
        Release, on_delete=models.CASCADE, related_name="+", null=True, blank=True
    )
    counterpart = models.ForeignKey(
        EquipmentModel, on_delete=models.CASCADE, related_name="+", null=True, blank=True
    )
    switch = models.ForeignKey(
        EquipmentModel, on_delete=models.CASCADE, related_name="+", null=True, blank=True
    )
    notes = models.PositiveIntegerField()
    affected = models.PositiveIntegerField("boats with a note")
    at_risk = models.PositiveIntegerField("boats that carry it and were looked at")
    unknown = models.PositiveIntegerField("boats whose release nobody knows", default=0)
    minutes_lost = models.PositiveIntegerField(default=0)
    chance = models.FloatField("corrected for all looks")
    alarm = models.BooleanField(default=False)
    within = models.PositiveIntegerField("rank of the one that explains it", null=True, blank=True)
    symptoms = models.JSONField(default=dict)
    by_slice = models.JSONField(default=list, help_text="Boats with a note, and years, by slice.")

    class Meta:
        ordering = ["tally", "place"]
        constraints = [
            models.UniqueConstraint(fields=["tally", "place"], name="combination_place_once"),
            models.CheckConstraint(
                name="combination_affected_within_risk", condition=Q(affected__lte=F("at_risk"))
            ),
        ]

    def __str__(self) -> str:
        return f"{self.model}, {self.affected} of {self.at_risk}"
