"""Problems noted on jobs, comparable across the fleet."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from simple_history.models import HistoricalRecords

from shopapp.accounts.models import OfShop, Shop
from shopapp.boats.models import Boat, Photo, Unit
from shopapp.catalog.models import EquipmentModel, Release
from shopapp.jobs.models.job import Job, WorkStep


class Problem(models.Model):
    """Something that did not work, noted on a job."""

    class Symptom(models.TextChoices):
        NOT_SEEN = "not_seen", "Not seen on the network"
        REBOOTS = "reboots", "Reboots"
        NO_SONAR = "no_sonar", "No sonar picture"
        NO_RADAR = "no_radar", "No radar picture"
        UPDATE_STUCK = "update_stuck", "Update stuck"
        NO_POWER = "no_power", "No power"
        WATER = "water", "Water inside"
        SLOW = "slow", "Slow or frozen"
        OTHER = "other", "Something else"

    class Shape(models.TextChoices):
        UNKNOWN = "", "Not known"
        ALONE = "alone", "On no network"
        DIRECT = "direct", "Joined without a switch"
        ONE_SWITCH = "one_switch", "On one switch"
        CHAIN = "chain", "On several switches"

    class Payer(models.TextChoices):
        UNKNOWN = "", "Not settled"
        CUSTOMER = "customer", "Customer"
        SHOP = "shop", "We did"
        MAKER = "maker", "Maker, under warranty"
        SUPPLIER = "supplier", "Supplier"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="problems")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="problems")
    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="problems")
    step = models.ForeignKey(
        WorkStep, on_delete=models.SET_NULL, related_name="problems", null=True, blank=True
    )
    unit = models.ForeignKey(
        Unit, on_delete=models.SET_NULL, related_name="problems", null=True, blank=True
    )
    model = models.ForeignKey(
        EquipmentModel, on_delete=models.PROTECT, related_name="problems", null=True, blank=True
    )
    release = models.ForeignKey(
        Release, on_delete=models.PROTECT, related_name="problems", null=True, blank=True
    )
    counterpart = models.ForeignKey(
        EquipmentModel, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    symptom = models.CharField(max_length=12, choices=Symptom.choices)
    words = models.TextField("what was seen")
    switch = models.ForeignKey(
        EquipmentModel,
        on_delete=models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
        verbose_name="network switch",
    )
    shape = models.CharField(
        "shape of the network", max_length=10, choices=Shape.choices, blank=True, default=""
    )
    networked_units = models.PositiveSmallIntegerField(
        "units on the network", null=True, blank=True
    )
    cause = models.CharField("cause, if proven", max_length=200, blank=True)
    cure = models.CharField("what cured it", max_length=200, blank=True)
    minutes_lost = models.PositiveSmallIntegerField(default=0)
    paid_by = models.CharField(
        "who paid", max_length=8, choices=Payer.choices, blank=True, default=""
    )
    lost_cents = models.PositiveIntegerField(
        "parts and other money lost", default=0, help_text="Hours are counted apart."
    )
    claimed_cents = models.PositiveIntegerField("claimed from maker or supplier", default=0)
    recovered_cents = models.PositiveIntegerField("come back", default=0)
    photo = models.ForeignKey(
        Photo, on_delete=models.SET_NULL, related_name="problems", null=True, blank=True
    )
    noted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    noted_at = models.DateTimeField(default=timezone.now)
    solved_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["-noted_at", "-pk"]
        indexes = [
            models.Index(fields=["shop", "model", "release", "counterpart"]),
            models.Index(fields=["shop", "-noted_at"]),
        ]
        constraints = [
            models.CheckConstraint(
                name="problem_no_more_back_than_claimed",
                condition=Q(recovered_cents__lte=F("claimed_cents")),
                violation_error_message="No more can come back than was claimed.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_symptom_display()} on {self.boat}"
