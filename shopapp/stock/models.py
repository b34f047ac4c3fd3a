"""What lies on which shelf, and what of it is spoken for."""

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from shopapp.accounts.models import OfShop, Shop
from shopapp.catalog.models import Part


class StockItem(models.Model):
    """A part at a place: pieces on hand, and how many of them are reserved."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="stock_items")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="stock")
    place = models.CharField("shelf, bin or van", max_length=40)
    on_hand = models.PositiveIntegerField(default=0)
    reserved = models.PositiveIntegerField(default=0)
    history = HistoricalRecords()

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["part", "place"]
        constraints = [
            models.UniqueConstraint(fields=["part", "place"], name="stock_once_a_place"),
            models.CheckConstraint(
                name="stock_reserved_within_on_hand",
                condition=Q(reserved__lte=F("on_hand")),
                violation_error_message="More is reserved here than lies on the shelf.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part.number} at {self.place}"

    @property
    def free(self) -> int:
        """Pieces that nobody has spoken for."""
        return self.on_hand - self.reserved
