"""Installed units, and the cables in place between their ports."""

from typing import Self

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from shopapp.boats.models.boat import Bank, Boat, Location
from shopapp.catalog.models import EquipmentModel, Part, Release

GAUGES = (
    "18", "16", "14", "12", "10", "8", "6", "4", "2", "1", "1/0", "2/0", "3/0", "4/0",
)  # fmt: skip
INSULATIONS_C = (60, 75, 80, 90, 105, 125, 200)


class UnitQuerySet(models.QuerySet):
    """Questions about units."""

    def of(self, shop: object) -> Self:
        """Only this shop's boats' units."""
        return self.filter(boat__shop=shop)

    def aboard(self) -> Self:
        """Fitted now, on the network or off it."""
        return self.filter(state__in=[Unit.State.FITTED, Unit.State.UNKNOWN])

    def for_sheet(self) -> Self:
        """With what a boat's sheet shows of each."""
        firmware = Release.objects.filter(model=models.OuterRef("model"))
        rows = self.select_related("model__family__maker", "release", "location", "bank")
        return rows.annotate(has_firmware=models.Exists(firmware))


class Unit(models.Model):
    """A unit aboard: what, where, on which release, how fed, networked or not."""

    class State(models.TextChoices):
        FITTED = "fitted", "Fitted"
        BENCH = "bench", "On the bench"
        REMOVED = "removed", "Removed"
        STOLEN = "stolen", "Stolen"
        UNKNOWN = "unknown", "Not known"

    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="units")
    name = models.SlugField("short name", max_length=40, help_text="For labels: d1, sonar, sw1.")
    model = models.ForeignKey(EquipmentModel, on_delete=models.PROTECT, related_name="units")
    serial = models.CharField(max_length=60, blank=True)
    release = models.ForeignKey(
        Release,
        on_delete=models.PROTECT,
        related_name="units",
        null=True,
        blank=True,
        verbose_name="firmware release",
        help_text="Empty: not known, or a model without firmware.",
    )
    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="units")
    networked = models.BooleanField(
        "on the Ethernet", null=True, blank=True, default=None, help_text="Empty: not known."
    )
    adapters = models.PositiveSmallIntegerField("adapter leads on it", default=0)
    bank = models.ForeignKey(
        Bank, on_delete=models.SET_NULL, related_name="units", null=True, blank=True
    )
    fuse_ma = models.PositiveIntegerField("fuse found (mA)", null=True, blank=True)
    fuse_place = models.CharField("fuse place", max_length=80, blank=True)
    cutoff = models.CharField("cut-off switch", max_length=80, blank=True)
    wire = models.CharField("wire and length", max_length=80, blank=True)
    wire_awg = models.CharField(
        "wire gauge (AWG)", max_length=4, choices=[(awg, awg) for awg in GAUGES], blank=True
    )
    wire_run_ft = models.PositiveSmallIntegerField(
        "wire, one way (ft)", null=True, blank=True, help_text="From the source to the unit."
    )
    wire_insulation_c = models.PositiveSmallIntegerField(
        "insulation of the wire (°C)",
        null=True,
        blank=True,
        choices=[(degrees, f"{degrees} °C") for degrees in INSULATIONS_C],
    )
    wire_engine_space = models.BooleanField(
        "wire runs through an engine space", null=True, blank=True
    )
    fuse_inches = models.PositiveSmallIntegerField(
        "from the source to the fuse (in)", null=True, blank=True
    )
    wire_sheathed = models.BooleanField("wire in a sheath or enclosure", null=True, blank=True)
    state = models.CharField(max_length=8, choices=State.choices, default=State.FITTED)
    fitted_on = models.DateField(null=True, blank=True)
    fitted_under = models.CharField("fitted under job", max_length=20, blank=True)
    note = models.TextField(blank=True)
    history = HistoricalRecords()

    objects = UnitQuerySet.as_manager()

    class Meta:
        ordering = ["boat", "pk"]
        indexes = [
            models.Index(fields=["model", "release", "boat"]),
            models.Index(fields=["serial"]),
            models.Index(
                fields=["boat"],
                condition=Q(networked=True, state__in=["fitted", "unknown"]),
                name="unit_on_network",
            ),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["boat", "name"],
                condition=Q(state__in=["fitted", "bench", "unknown"]),
                name="unit_name_once_aboard",
                violation_error_message="Another unit aboard has this short name.",
            ),
            models.CheckConstraint(
                name="unit_state_known",
                condition=Q(state__in=["fitted", "bench", "removed", "stolen", "unknown"]),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Cable(models.Model):
    """A network cable in place, from port to port."""

    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="cables")
    label = models.SlugField("label", max_length=40)
    part = models.ForeignKey(
        Part,
        on_delete=models.PROTECT,
        related_name="cables",
        limit_choices_to={"kind": "cable"},
        verbose_name="type",
    )
    note = models.CharField(max_length=200, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["boat", "label"]
        constraints = [
            models.UniqueConstraint(
                fields=["boat", "label"],
                condition=Q(retired_at__isnull=True),
                name="cable_label_once_a_boat",
                violation_error_message="Another cable aboard has this label.",
            ),
        ]

    def __str__(self) -> str:
        return self.label


class CableEnd(models.Model):
    """One end of a cable: where it lies, and the port that it is in, if any."""

    class Side(models.TextChoices):
        A = "a", "A"
        B = "b", "B"

    cable = models.ForeignKey(Cable, on_delete=models.CASCADE, related_name="ends")
    side = models.CharField(max_length=1, choices=Side.choices)
    location = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="cable_ends")
    unit = models.ForeignKey(
        Unit, on_delete=models.RESTRICT, related_name="cable_ends", null=True, blank=True
    )
    port = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["cable", "side"]
        constraints = [
            models.UniqueConstraint(fields=["cable", "side"], name="cable_end_once"),
            models.UniqueConstraint(
                fields=["unit", "port"],
                name="one_cable_a_port",
                violation_error_message="Another cable is in this port already.",
            ),
            models.CheckConstraint(
                name="cable_port_needs_unit",
                condition=Q(port__isnull=True) | Q(unit__isnull=False, port__gte=1),
                violation_error_message="A port needs its unit, and ports count from 1.",
            ),
            models.CheckConstraint(name="cable_side_known", condition=Q(side__in=["a", "b"])),
        ]

    def __str__(self) -> str:
        return f"{self.cable} {self.side}"
