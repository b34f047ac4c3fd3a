"""The week's sheet of the fleet: what it says is kept, so that its paper can be made again."""

from django.db import models
from django.utils import timezone

from shopapp.accounts.models import OfShop, Shop


class FleetSheet(models.Model):
    """One week of a shop, as it was known when the sheet was written."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="fleet_sheets")
    ends_on = models.DateField("last day of the week")
    facts = models.JSONField()
    made_at = models.DateTimeField(default=timezone.now)

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["-ends_on", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "ends_on"], name="fleet_sheet_once_a_week"),
        ]

    def __str__(self) -> str:
        return f"fleet-{self.ends_on:%Y-%m-%d}"
