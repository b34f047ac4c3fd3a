"""Makers, families and equipment models."""

from typing import Self

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from shopapp.accounts.models import Retirable, Shop
from shopapp.catalog.models.parts import Part, Searchable


class Kind(models.TextChoices):
    """What a model is, in the planner's words."""

    DISPLAY = "display", "Display"
    SWITCH = "switch", "Switch"
    SOUNDER = "sounder", "Sounder"
    RADAR = "radar", "Radar"
    MOTOR = "motor", "Trolling motor"
    CAMERA = "camera", "Camera"
    GATEWAY = "gateway", "Gateway"
    OTHER = "other", "Other"


class Aerial(models.TextChoices):
    """The antenna that comes with a model, where one does."""

    NONE = "", "None"
    VHF = "vhf", "VHF radio"
    AIS = "ais", "AIS"
    GNSS = "gnss", "Satellite position"
    RADAR = "radar", "Radar"


class Maker(models.Model):
    """Who makes equipment."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="makers")
    name = models.CharField(max_length=80)
    note = models.TextField(blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    objects = Retirable.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["shop", "name"], name="maker_once_a_shop")]

    def __str__(self) -> str:
        return self.name


class Family(models.Model):
    """A maker's line of models that belong together."""

    maker = models.ForeignKey(Maker, on_delete=models.PROTECT, related_name="families")
    name = models.CharField(max_length=80)
    note = models.TextField(blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["maker__name", "name"]
        verbose_name_plural = "families"
        constraints = [
            models.UniqueConstraint(fields=["maker", "name"], name="family_once_a_maker")
        ]

    def __str__(self) -> str:
        return f"{self.maker} {self.name}"


class ModelQuerySet(Searchable):
    """Questions about equipment models."""

    def for_cards(self) -> Self:
        """With what a list shows of each."""
        return self.select_related("family__maker", "part", "adapter", "lead")


class EquipmentModel(models.Model):
    """A model of the catalogue, with all the planner must know of it."""

    class Lifecycle(models.TextChoices):
        CURRENT = "current", "Current"
        LAST_ORDERS = "last_orders", "Last orders"
        ENDED = "ended", "Ended"
        REPAIR = "repair", "Repair only"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="models")
    family = models.ForeignKey(Family, on_delete=models.PROTECT, related_name="models")
    code = models.SlugField(max_length=60)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=8, choices=Kind.choices)
    generation = models.PositiveSmallIntegerField(default=1)
    part = models.OneToOneField(
        Part,
        on_delete=models.PROTECT,
        related_name="model",
        null=True,
        blank=True,
        help_text="The part that it is sold as; none, or one without a price: cannot be bought.",
    )
    ports = models.PositiveSmallIntegerField("Ethernet ports", default=1)
    bridges = models.BooleanField("traffic passes between its ports", default=False)
    adapter = models.ForeignKey(
        Part, on_delete=models.PROTECT, related_name="adapter_for", null=True, blank=True
    )
    fit_minutes = models.PositiveSmallIntegerField()
    remove_minutes = models.PositiveSmallIntegerField()
    mount = models.SlugField("footprint", max_length=40, blank=True)
    lead = models.ForeignKey(
        Part, on_delete=models.PROTECT, related_name="lead_for", null=True, blank=True
    )
    fuse_ma = models.PositiveIntegerField("fuse called for (mA)", null=True, blank=True)
    draw_ma = models.PositiveIntegerField("draw (mA)")
    volts_low = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    volts_high = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    load_units = models.PositiveSmallIntegerField(
        "backbone load (LEN)", null=True, blank=True, help_text="1 LEN is 50 mA."
    )
    depth_mm = models.PositiveSmallIntegerField("depth behind panel (mm)", null=True, blank=True)
    cutout_width_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    cutout_height_mm = models.PositiveSmallIntegerField(null=True, blank=True)
    ignition_protected = models.BooleanField(null=True, blank=True)
    water_rating = models.CharField("ingress protection", max_length=10, blank=True)
    compass_safe_cm = models.PositiveSmallIntegerField(null=True, blank=True)
    standby_ma = models.PositiveIntegerField("draw when off (mA)", null=True, blank=True)
    most_c = models.PositiveSmallIntegerField("highest temperature (°C)", null=True, blank=True)
    aerial = models.CharField("antenna", max_length=5, choices=Aerial.choices, blank=True)
    lifecycle = models.CharField(
        max_length=11, choices=Lifecycle.choices, default=Lifecycle.CURRENT
    )
    warranty_months = models.PositiveSmallIntegerField(null=True, blank=True)
    ships_with = models.ForeignKey(
        "Release", on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    successors = models.ManyToManyField(
        "self", symmetrical=False, related_name="predecessors", blank=True
    )
    note = models.TextField(blank=True)
    search = models.CharField(max_length=400, editable=False, default="")
    retired_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords(excluded_fields=["search"])

    objects = ModelQuerySet.as_manager()

    class Meta:
        ordering = ["family__maker__name", "name"]
        verbose_name = "model"
        indexes = [models.Index(fields=["shop", "kind", "name"])]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "code"],
                name="model_code_once_a_shop",
                violation_error_message="This code is in the catalogue already.",
            ),
            models.CheckConstraint(name="model_kind_known", condition=Q(kind__in=Kind.values)),
            models.CheckConstraint(
                name="switch_bridges",
                condition=~Q(kind="switch") | Q(bridges=True),
                violation_error_message="A switch passes traffic between its ports.",
            ),
            models.CheckConstraint(
                name="model_volts_in_order",
                condition=Q(volts_low__isnull=True)
                | Q(volts_high__isnull=True)
                | Q(volts_high__gte=F("volts_low")),
            ),
        ]

    def __str__(self) -> str:
        return self.name
