"""The labour table."""

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from shopapp.accounts.models import Retirable, Shop


class LabourTask(models.Model):
    """A row of the labour table: minutes low, typical, high."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="labour_tasks")
    code = models.CharField(max_length=12)
    name = models.CharField(max_length=120)
    low_minutes = models.PositiveSmallIntegerField()
    typical_minutes = models.PositiveSmallIntegerField()
    high_minutes = models.PositiveSmallIntegerField()
    note = models.CharField(max_length=300, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    objects = Retirable.as_manager()

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "code"], name="labour_code_once_a_shop"),
            models.CheckConstraint(
                name="labour_minutes_in_order",
                condition=Q(low_minutes__lte=F("typical_minutes"))
                & Q(typical_minutes__lte=F("high_minutes")),
                violation_error_message="Minutes must rise: low, typical, high.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"
