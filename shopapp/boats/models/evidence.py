"""Evidence: how a value is known, by whom, since when, how sure. Added, never edited."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from shopapp.boats.models.backbone import Backbone
from shopapp.boats.models.boat import Bank, Boat, Location, Route, Sureness
from shopapp.boats.models.units import Cable, Unit


class How(models.TextChoices):
    """How a value came to be known, strongest first (common practice, no source)."""

    BUS = "bus", "read from the bus or the unit"
    SEEN = "seen", "seen aboard"
    PHOTO = "photo", "clear photo"
    JOB = "job", "own past job"
    SUPPLIER = "supplier", "supplier's record"
    CUSTOMER = "customer", "customer's word"
    ASSUMED = "assumed", "assumed"


STRENGTH = {how: len(How.values) - place for place, how in enumerate(How.values)}


def upload_path(photo: "Photo", _name: str) -> str:
    """Photos are named by their digest, so that the same picture is kept once."""
    return f"photos/{photo.boat_id}/{photo.digest}.jpg"


class Photo(models.Model):
    """A picture taken aboard."""

    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="photos")
    image = models.FileField(upload_to=upload_path)
    digest = models.CharField(max_length=64)
    caption = models.CharField(max_length=120, blank=True)
    taken_at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-taken_at"]
        constraints = [models.UniqueConstraint(fields=["boat", "digest"], name="photo_once_a_boat")]

    def __str__(self) -> str:
        return self.caption or f"photo {self.pk}"


class Evidence(models.Model):
    """One observation of one value of one thing aboard.

    The subject is the boat itself, or one of its units, cables, banks, routes,
    locations or backbones. A newer but weaker observation is kept as disputed
    until a person settles it.
    """

    class Standing(models.TextChoices):
        HOLDS = "holds", "holds"
        OLD = "old", "superseded"
        DISPUTED = "disputed", "disagrees with stronger evidence"
        REJECTED = "rejected", "settled against"

    SUBJECTS = ("unit", "cable", "bank", "route", "location", "backbone")

    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="evidence")
    unit = models.ForeignKey(
        Unit, on_delete=models.CASCADE, related_name="evidence", null=True, blank=True
    )
    cable = models.ForeignKey(
        Cable, on_delete=models.CASCADE, related_name="evidence", null=True, blank=True
    )
    bank = models.ForeignKey(
        Bank, on_delete=models.CASCADE, related_name="evidence", null=True, blank=True
    )
    route = models.ForeignKey(
        Route, on_delete=models.CASCADE, related_name="evidence", null=True, blank=True
    )
    location = models.ForeignKey(
        Location, on_delete=models.CASCADE, related_name="evidence", null=True, blank=True
    )
    backbone = models.ForeignKey(
        Backbone, on_delete=models.CASCADE, related_name="evidence", null=True, blank=True
    )
    fact = models.CharField(max_length=40)
    value = models.CharField(max_length=200, blank=True)
    how = models.CharField(max_length=8, choices=How.choices)
    sureness = models.CharField(max_length=6, choices=Sureness.choices, default=Sureness.HIGH)
    seen_at = models.DateTimeField(default=timezone.now)
    noted_at = models.DateTimeField(default=timezone.now, editable=False)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    photo = models.ForeignKey(
        Photo, on_delete=models.SET_NULL, related_name="evidence", null=True, blank=True
    )
    job_number = models.CharField(max_length=20, blank=True)
    note = models.CharField(max_length=200, blank=True)
    standing = models.CharField(max_length=8, choices=Standing.choices, default=Standing.HOLDS)

    class Meta:
        ordering = ["-seen_at", "-pk"]
        verbose_name_plural = "evidence"
        indexes = [models.Index(fields=["boat", "standing", "fact"])]
        constraints = [
            models.CheckConstraint(name="evidence_how_known", condition=Q(how__in=How.values)),
            models.CheckConstraint(
                name="evidence_standing_known",
                condition=Q(standing__in=["holds", "old", "disputed", "rejected"]),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.fact}: {self.value} ({self.get_how_display()})"
