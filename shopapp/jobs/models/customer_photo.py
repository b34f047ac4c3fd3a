"""A photo that a customer sends to settle an assumption: it waits until the desk has looked."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from shopapp.boats.models import Photo
from shopapp.jobs.models.quote import Assumption


def upload_path(row: "CustomerPhoto", _name: str) -> str:
    """Named by its digest, apart from the boat's own photos until the desk takes it."""
    return f"customer-photos/{row.assumption.quote_id}/{row.digest}.jpg"


class CustomerPhoto(models.Model):
    """What the customer sent, of which assumption, and what the desk made of it."""

    class Verdict(models.TextChoices):
        OPEN = "open", "to be looked at"
        SHOWS = "shows", "shows that it is so"
        OTHERWISE = "other", "shows that it is otherwise"
        USELESS = "useless", "shows nothing of it"

    TEXT_LIMIT = 300

    assumption = models.ForeignKey(
        Assumption, on_delete=models.CASCADE, related_name="customer_photos"
    )
    image = models.FileField(upload_to=upload_path)
    digest = models.CharField("SHA-256 of the picture", max_length=64)
    name = models.CharField(max_length=120)
    text = models.CharField("what it shows", max_length=TEXT_LIMIT, blank=True)
    taken_on = models.DateField()
    sent_at = models.DateTimeField(default=timezone.now)
    once = models.UUIDField(unique=True, help_text="Made with the form: a second press is one.")
    verdict = models.CharField(max_length=7, choices=Verdict.choices, default=Verdict.OPEN)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    looked_at = models.DateTimeField(null=True, blank=True)
    kept = models.ForeignKey(
        Photo, on_delete=models.SET_NULL, related_name="+", null=True, blank=True
    )

    class Meta:
        ordering = ["sent_at", "pk"]
        constraints = [
            models.CheckConstraint(name="customer_photo_has_name", condition=~Q(name="")),
            models.CheckConstraint(
                name="customer_photo_verdict_known",
                condition=Q(verdict="open", by__isnull=True, looked_at__isnull=True)
                | Q(
                    verdict__in=["shows", "other", "useless"],
                    by__isnull=False,
                    looked_at__isnull=False,
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"Photo of A{self.assumption.number} by {self.name}"
