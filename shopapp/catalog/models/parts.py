"""Suppliers and parts: what is bought and sold."""

from typing import Self

from django.db import models
from django.db.models import F, Q
from simple_history.models import HistoricalRecords

from shopapp.accounts.models import Retirable, Shop

MOST_CENTS = 2_000_000_000


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

    class Use(models.TextChoices):
        """What a small part is good for, so that checks and plans can count it."""

        NONE = "", "Nothing in particular"
        WIRE = "wire", "Boat wire, one conductor, by the foot"
        TERMINAL = "terminal", "Terminal"
        HOLDER = "fuse_holder", "Fuse holder"
        BLOCK = "block", "Fuse block"
        CUTOFF = "cutoff", "Cut-off switch"
        LABEL = "label", "Label"
        CAP = "cap", "Cap for an unused port"
        TIE = "tie", "Cable tie"
        PLATE = "plate", "Adapter plate"
        TEE = "tee", "Backbone tee"
        DROP = "drop", "Backbone drop cable"
        BUS_CABLE = "bus_cable", "Backbone cable"
        TERMINATOR = "terminator", "Backbone terminator"
        POWER_TEE = "power_tee", "Backbone power tee"

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
    use = models.CharField("used as", max_length=11, choices=Use.choices, blank=True)
    size = models.CharField(
        max_length=10,
        blank=True,
        help_text="Gauge of a wire or terminal, A of a block or switch, m of a backbone cable.",
    )
    pieces = models.PositiveSmallIntegerField(
        "pieces in one", default=1, help_text="A bag of 100 ties is 100."
    )
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
                name="part_holds_pieces",
                condition=Q(pieces__gte=1),
                violation_error_message="One part holds one piece at least.",
            ),
            models.CheckConstraint(
                name="cable_part_has_length",
                condition=~Q(kind="cable") | Q(cable_ft__gt=0),
                violation_error_message="A network cable needs its length.",
            ),
            models.CheckConstraint(
                name="part_money_sensible",
                condition=(Q(price_cents__isnull=True) | Q(price_cents__lte=MOST_CENTS))
                & (Q(cost_cents__isnull=True) | Q(cost_cents__lte=MOST_CENTS)),
                violation_error_message="A price is from 0 to 20,000,000.",
            ),
            models.CheckConstraint(
                name="part_not_superseded_by_itself",
                condition=Q(superseded_by__isnull=True) | ~Q(superseded_by=F("id")),
                violation_error_message="A part cannot be superseded by itself.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.name}"
