"""Stock-taking: what should lie at a place, what was counted, and why it differs."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from shopapp.accounts.models import OfShop, Shop
from shopapp.stock.models.items import MOST_ON_HAND, StockItem


class CountSheet(models.Model):
    """One count of one place, or of several; it changes the stock when it is booked."""

    class State(models.TextChoices):
        OPEN = "open", "Being counted"
        BOOKED = "booked", "Booked"
        DROPPED = "dropped", "Dropped"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="count_sheets")
    place = models.CharField(max_length=40)
    state = models.CharField(max_length=7, choices=State.choices, default=State.OPEN)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    made_at = models.DateTimeField(default=timezone.now)
    booked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    booked_at = models.DateTimeField(null=True, blank=True)

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        indexes = [models.Index(fields=["shop", "-made_at"])]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "place"], condition=Q(state="open"), name="one_open_count_a_place"
            ),
            models.CheckConstraint(
                name="count_state_known", condition=Q(state__in=["open", "booked", "dropped"])
            ),
            models.CheckConstraint(
                name="count_booked_has_time",
                condition=~Q(state="booked") | Q(booked_at__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"count of {self.place}"


class CountRow(models.Model):
    """One part of a count: pieces that should lie there, pieces counted, why they differ."""

    sheet = models.ForeignKey(CountSheet, on_delete=models.CASCADE, related_name="rows")
    stock = models.ForeignKey(StockItem, on_delete=models.PROTECT, related_name="count_rows")
    expected = models.PositiveIntegerField()
    counted = models.PositiveIntegerField(null=True, blank=True)
    reason = models.CharField(max_length=100, blank=True)

    class Meta:
        ordering = ["sheet", "stock__part__number"]
        constraints = [
            models.UniqueConstraint(fields=["sheet", "stock"], name="count_row_once"),
            models.CheckConstraint(
                name="count_sensible",
                condition=Q(counted__isnull=True) | Q(counted__lte=MOST_ON_HAND),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.stock}: {self.counted} of {self.expected}"

    @property
    def difference(self) -> int:
        """Pieces more (or fewer, below zero) than should be there; 0 while not counted."""
        return 0 if self.counted is None else self.counted - self.expected
