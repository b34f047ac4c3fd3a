"""Whether each boat is right today, and the checks that keep that true."""

from typing import Self

from django.db import models
from django.db.models import Count, Q, Sum
from django.utils import timezone

from shopapp.accounts.models import OfShop, Shop
from shopapp.boats.models import Boat
from shopapp.work.models import LeasedRow, RowState


class BoatStanding(models.Model):
    """How a boat stands against the statements in force, with the reasons."""

    class State(models.TextChoices):
        RIGHT = "right", "Right"
        WRONG = "wrong", "Not right"
        NOT_KNOWN = "not_known", "Not known"

    boat = models.OneToOneField(Boat, on_delete=models.CASCADE, related_name="standing")
    shop = models.ForeignKey(Shop, on_delete=models.CASCADE, related_name="+")
    state = models.CharField(max_length=9, choices=State.choices)
    reasons = models.JSONField(default=list, help_text="Each: [statement's number, what is found].")
    since = models.DateTimeField("so since", default=timezone.now)
    checked_at = models.DateTimeField(default=timezone.now)

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["-since", "-pk"]
        indexes = [models.Index(fields=["shop", "state", "-since"])]
        constraints = [
            models.CheckConstraint(
                name="standing_state_known",
                condition=Q(state__in=["right", "wrong", "not_known"]),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.boat_id}: {self.get_state_display()}"


class RecheckQuerySet(OfShop):
    """Questions about checks."""

    def counted(self) -> Self:
        """With how many boats are to be checked, how many are, and what changed."""
        done = Q(parts__row_state=RowState.READY)
        return self.annotate(
            parts_left=Count("parts", filter=~done),
            total=Sum("parts__total", default=0),
            checked=Sum("parts__total", filter=done, default=0),
            became_wrong=Sum("parts__became_wrong", default=0),
            put_right=Sum("parts__put_right", default=0),
        )


class Recheck(models.Model):
    """A check of the boats that a change can touch."""

    shop = models.ForeignKey(Shop, on_delete=models.CASCADE, related_name="rechecks")
    why = models.CharField(max_length=200)
    asked_at = models.DateTimeField(default=timezone.now)

    objects = RecheckQuerySet.as_manager()

    class Meta:
        ordering = ["-asked_at", "-pk"]
        indexes = [models.Index(fields=["shop", "-asked_at"])]

    def __str__(self) -> str:
        return self.why


class RecheckPart(LeasedRow):
    """Up to five hundred boats of a check: what one worker takes at a time."""

    recheck = models.ForeignKey(Recheck, on_delete=models.CASCADE, related_name="parts")
    boats = models.JSONField()
    total = models.PositiveIntegerField()
    became_wrong = models.PositiveIntegerField(default=0)
    put_right = models.PositiveIntegerField(default=0)

    class Meta(LeasedRow.Meta):
        ordering = ["recheck", "pk"]

    def __str__(self) -> str:
        return f"{self.total} boats"
