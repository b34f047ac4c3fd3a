"""The shop's catalogue: makers, families, models, releases, parts, labour."""

from typing import Self

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from shopapp.accounts.models import Retirable, Shop


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


class Searchable(Retirable):
    """Rows with a lower-case `search` column."""

    def matching(self, words: str) -> Self:
        """Those whose search text holds every word."""
        found = self
        for word in words.lower().split():
            found = found.filter(search__contains=word)
        return found


class Supplier(models.Model):
    """Where the shop buys."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="suppliers")
    name = models.CharField(max_length=120)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    account_number = models.CharField(max_length=40, blank=True)
    lead_days = models.PositiveSmallIntegerField(default=5)
    retired_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    objects = Retirable.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "name"], name="supplier_once_a_shop")
        ]

    def __str__(self) -> str:
        return self.name


class Part(models.Model):
    """Something that is bought and sold: equipment, a lead, a fuse, a cable, a cap."""

    class PartKind(models.TextChoices):
        EQUIPMENT = "equipment", "Equipment"
        ADAPTER = "adapter", "Adapter lead"
        LEAD = "lead", "Power lead"
        FUSE = "fuse", "Fuse"
        CABLE = "cable", "Network cable"
        SMALL = "small", "Small part"
        SUPPLY = "supply", "Shop supply"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="parts")
    number = models.CharField("part number", max_length=60)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=10, choices=PartKind.choices)
    price_cents = models.PositiveIntegerField(
        null=True, blank=True, help_text="Empty: cannot be bought."
    )
    cost_cents = models.PositiveIntegerField(null=True, blank=True)
    supplier = models.ForeignKey(
        Supplier, on_delete=models.PROTECT, related_name="parts", null=True, blank=True
    )
    fuse_ma = models.PositiveIntegerField("fuse rating (mA)", null=True, blank=True)
    cable_ft = models.PositiveSmallIntegerField("cable length (ft)", null=True, blank=True)
    superseded_by = models.ForeignKey(
        "self", on_delete=models.PROTECT, related_name="supersedes", null=True, blank=True
    )
    barcode = models.CharField(max_length=60, blank=True)
    note = models.TextField(blank=True)
    search = models.CharField(max_length=400, editable=False, default="")
    retired_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords(excluded_fields=["search"])

    objects = Searchable.as_manager()

    class Meta:
        ordering = ["number"]
        indexes = [models.Index(fields=["shop", "kind", "number"])]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "number"],
                name="part_number_once_a_shop",
                violation_error_message="This part number is in the catalogue already.",
            ),
            models.CheckConstraint(
                name="fuse_part_has_rating",
                condition=~Q(kind="fuse") | Q(fuse_ma__gt=0),
                violation_error_message="A fuse needs its rating.",
            ),
            models.CheckConstraint(
                name="cable_part_has_length",
                condition=~Q(kind="cable") | Q(cable_ft__gt=0),
                violation_error_message="A network cable needs its length.",
            ),
            models.CheckConstraint(
                name="part_not_superseded_by_itself",
                condition=Q(superseded_by__isnull=True) | ~Q(superseded_by=F("id")),
                violation_error_message="A part cannot be superseded by itself.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.name}"


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


class LabourTask(models.Model):
    """A row of the labour table: minutes low, typical, high."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="labour_tasks")
    code = models.CharField(max_length=12)
    name = models.CharField(max_length=120)
    low_minutes = models.PositiveSmallIntegerField()
    typical_minutes = models.PositiveSmallIntegerField()
    high_minutes = models.PositiveSmallIntegerField()
    note = models.CharField(max_length=300, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    objects = Retirable.as_manager()

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "code"], name="labour_code_once_a_shop"),
            models.CheckConstraint(
                name="labour_minutes_in_order",
                condition=Q(low_minutes__lte=F("typical_minutes"))
                & Q(typical_minutes__lte=F("high_minutes")),
                violation_error_message="Minutes must rise: low, typical, high.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"
