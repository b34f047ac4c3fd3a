"""Who sells a part for how much, what may stand in for it, and what a kit holds."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from shopapp.accounts.models import OfShop, Shop
from shopapp.catalog.models import Part, Supplier
from shopapp.catalog.models.parts import MOST_CENTS

MOST_LEAD_DAYS = 365


class SupplierPrice(models.Model):
    """What one supplier asks for one part, under the supplier's own number."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="supplier_prices")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="prices")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="supplier_prices")
    number = models.CharField("supplier's number", max_length=60, blank=True)
    price_cents = models.PositiveIntegerField()
    lead_days = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Empty: as the supplier says of all its parts."
    )
    seen_on = models.DateField()

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["price_cents", "supplier"]
        indexes = [models.Index(fields=["part", "price_cents"])]
        constraints = [
            models.UniqueConstraint(
                fields=["supplier", "part"],
                name="one_price_a_supplier",
                violation_error_message="This supplier has a price for the part already.",
            ),
            models.CheckConstraint(
                name="supplier_price_sensible",
                condition=Q(price_cents__gte=0, price_cents__lte=MOST_CENTS),
                violation_error_message="The price must be from 0 to 20,000,000.",
            ),
            models.CheckConstraint(
                name="supplier_lead_sensible",
                condition=Q(lead_days__isnull=True) | Q(lead_days__lte=MOST_LEAD_DAYS),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.supplier}: {self.part.number}"

    @property
    def days(self) -> int:
        """Days until it is here."""
        return self.supplier.lead_days if self.lead_days is None else self.lead_days


class Substitute(models.Model):
    """The shop's word that one part does what another does; never for equipment."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="substitutes")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="substitutes")
    other = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="substitute_for")
    note = models.CharField("why it will do", max_length=120)

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["part", "other"]
        constraints = [
            models.UniqueConstraint(fields=["part", "other"], name="substitute_once"),
            models.CheckConstraint(
                name="substitute_is_another_part",
                condition=~Q(part=F("other")),
                violation_error_message="A part cannot stand in for itself.",
            ),
            models.CheckConstraint(
                name="substitute_says_why",
                condition=~Q(note=""),
                violation_error_message="Say why it will do.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.other.number} for {self.part.number}"


class KitPart(models.Model):
    """One part of what a kit holds: a kit lies nowhere, its parts do."""

    kit = models.ForeignKey(Part, on_delete=models.CASCADE, related_name="kit_parts")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="in_kits")
    count = models.PositiveSmallIntegerField(default=1)

    class Meta:
        ordering = ["kit", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["kit", "part"], name="kit_part_once"),
            models.CheckConstraint(
                name="kit_does_not_hold_itself",
                condition=~Q(kit=F("part")),
                violation_error_message="A kit cannot hold itself.",
            ),
            models.CheckConstraint(
                name="kit_count_sensible",
                condition=Q(count__gte=1, count__lte=1000),
                violation_error_message="A kit holds from 1 to 1,000 pieces of a part.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} × {self.part} in {self.kit}"


class PriceFile(models.Model):
    """A supplier's price file as it came: looked at first, then taken whole or not at all."""

    class State(models.TextChoices):
        WAITING = "waiting", "Looked at"
        TAKEN = "taken", "Taken"
        DROPPED = "dropped", "Dropped"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="price_files")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="price_files")
    name = models.CharField(max_length=120)
    text = models.TextField()
    state = models.CharField(max_length=7, choices=State.choices, default=State.WAITING)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    at = models.DateTimeField(default=timezone.now)
    taken_at = models.DateTimeField(null=True, blank=True)
    changed = models.PositiveIntegerField("prices written", default=0)

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="price_file_state_known",
                condition=Q(state__in=["waiting", "taken", "dropped"]),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} of {self.supplier}"
