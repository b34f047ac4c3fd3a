"""The NMEA 2000 backbone: tees in order, segments, drops, terminators, feeds."""

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from shopapp.boats.models.boat import Boat, Location
from shopapp.boats.models.units import Unit


class Backbone(models.Model):
    """One backbone; a boat with two has them joined by a bridge or not at all."""

    class CableKind(models.TextChoices):
        LIGHT = "light", "Light"
        MID = "mid", "Mid"
        HEAVY = "heavy", "Heavy"

    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="backbones")
    name = models.CharField(max_length=40, default="Backbone")
    cable = models.CharField(max_length=5, choices=CableKind.choices, default=CableKind.LIGHT)
    measured_ohms = models.DecimalField(
        "ohms read, power off", max_digits=6, decimal_places=1, null=True, blank=True
    )
    note = models.CharField(max_length=200, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["boat", "name"]
        constraints = [
            models.UniqueConstraint(fields=["boat", "name"], name="backbone_once_a_boat")
        ]

    def __str__(self) -> str:
        return self.name


class Tee(models.Model):
    """A tee; a terminated one ends the backbone."""

    backbone = models.ForeignKey(Backbone, on_delete=models.CASCADE, related_name="tees")
    name = models.CharField(max_length=20)
    position = models.PositiveSmallIntegerField()
    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="tees")
    terminated = models.BooleanField("terminator here", default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["backbone", "position"]
        constraints = [
            models.UniqueConstraint(fields=["backbone", "name"], name="tee_once_a_backbone"),
            models.UniqueConstraint(fields=["backbone", "position"], name="tee_position_once"),
        ]

    def __str__(self) -> str:
        return self.name


class Segment(models.Model):
    """Backbone cable between two tees."""

    backbone = models.ForeignKey(Backbone, on_delete=models.CASCADE, related_name="segments")
    from_tee = models.ForeignKey(Tee, on_delete=models.CASCADE, related_name="segments_out")
    to_tee = models.ForeignKey(Tee, on_delete=models.CASCADE, related_name="segments_in")
    metres = models.DecimalField(max_digits=5, decimal_places=2)
    history = HistoricalRecords()

    class Meta:
        ordering = ["backbone", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["from_tee", "to_tee"], name="segment_once"),
            models.CheckConstraint(
                name="segment_goes_somewhere", condition=~Q(from_tee=F("to_tee"))
            ),
            models.CheckConstraint(name="segment_length_positive", condition=Q(metres__gt=0)),
        ]

    def __str__(self) -> str:
        return f"{self.from_tee} – {self.to_tee}, {self.metres} m"


class Drop(models.Model):
    """A drop cable from a tee to a node."""

    tee = models.ForeignKey(Tee, on_delete=models.CASCADE, related_name="drops")
    unit = models.ForeignKey(
        Unit, on_delete=models.SET_NULL, related_name="drops", null=True, blank=True
    )
    node = models.CharField("node, where it is no unit of the list", max_length=60, blank=True)
    metres = models.DecimalField(max_digits=4, decimal_places=2)
    load_units = models.PositiveSmallIntegerField("load (LEN)", null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["tee", "pk"]
        constraints = [
            models.CheckConstraint(name="drop_length_positive", condition=Q(metres__gte=0)),
        ]

    def __str__(self) -> str:
        return f"{self.tee} drop"


class Feed(models.Model):
    """Where power enters the backbone."""

    tee = models.ForeignKey(Tee, on_delete=models.CASCADE, related_name="feeds")
    fuse_ma = models.PositiveIntegerField(null=True, blank=True)
    cutoff = models.CharField(max_length=80, blank=True)
    volts = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["tee", "pk"]

    def __str__(self) -> str:
        return f"feed at {self.tee}"
