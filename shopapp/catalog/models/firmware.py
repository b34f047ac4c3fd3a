"""Firmware releases, the updates between them, and what port lights mean."""

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from shopapp.catalog.models.equipment import EquipmentModel


class Release(models.Model):
    """A firmware release of a model; `rank` orders them, oldest lowest."""

    model = models.ForeignKey(EquipmentModel, on_delete=models.CASCADE, related_name="releases")
    name = models.CharField(max_length=40)
    rank = models.PositiveSmallIntegerField()
    withdrawn = models.BooleanField(default=False)
    no_return = models.BooleanField("no way back from here", default=False)
    released_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["model", "rank"]
        constraints = [
            models.UniqueConstraint(fields=["model", "name"], name="release_once_a_model"),
            models.UniqueConstraint(fields=["model", "rank"], name="release_rank_once_a_model"),
        ]

    def __str__(self) -> str:
        return self.name


class Update(models.Model):
    """One firmware step that exists, with its minutes and its means."""

    class Means(models.TextChoices):
        CARD = "card", "Memory card"
        USB = "usb", "USB stick"
        PHONE = "phone", "Phone or wireless"
        NETWORK = "network", "Over the network from one unit"
        BUS = "bus", "Over the backbone"
        BENCH = "bench", "Maker's bench only"

    model = models.ForeignKey(EquipmentModel, on_delete=models.CASCADE, related_name="updates")
    from_release = models.ForeignKey(Release, on_delete=models.CASCADE, related_name="updates_out")
    to_release = models.ForeignKey(Release, on_delete=models.CASCADE, related_name="updates_in")
    minutes = models.PositiveSmallIntegerField()
    means = models.CharField(max_length=7, choices=Means.choices, default=Means.CARD)
    note = models.CharField(max_length=300, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["model", "from_release__rank", "to_release__rank"]
        constraints = [
            models.UniqueConstraint(fields=["from_release", "to_release"], name="update_once"),
            models.CheckConstraint(
                name="update_goes_somewhere", condition=~Q(from_release=F("to_release"))
            ),
        ]

    def __str__(self) -> str:
        return f"{self.from_release} → {self.to_release}"


class PortLight(models.Model):
    """What a port's light means on this model; no standard holds across models."""

    class Pattern(models.TextChoices):
        STEADY = "steady", "steady"
        FLASHING = "flashing", "flashing"
        DARK = "dark", "dark"

    model = models.ForeignKey(EquipmentModel, on_delete=models.CASCADE, related_name="lights")
    colour = models.CharField(max_length=20, blank=True)
    pattern = models.CharField(max_length=8, choices=Pattern.choices)
    meaning = models.CharField(max_length=160)
    is_fault = models.BooleanField("means a fault", default=False)
    history = HistoricalRecords()

    class Meta:
        ordering = ["model", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["model", "colour", "pattern"], name="light_once_a_model"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.colour} {self.get_pattern_display()}: {self.meaning}".strip()
