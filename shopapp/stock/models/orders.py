"""Purchase orders: what was ordered, what was promised when, what came."""

from datetime import date

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from shopapp.accounts.models import OfShop, Shop
from shopapp.catalog.models import Part, Supplier
from shopapp.stock.models.items import StockItem
from shopapp.stock.models.supply import MOST_CENTS

MOST_ORDERED = 100_000


class PurchaseOrder(models.Model):
    """What is bought of one supplier at one time."""

    class State(models.TextChoices):
        DRAFT = "draft", "Draft"
        SENT = "sent", "Sent"
        CONFIRMED = "confirmed", "Confirmed"
        PART_RECEIVED = "part_received", "Part received"
        RECEIVED = "received", "Received"
        CLOSED = "closed", "Closed"
        CANCELLED = "cancelled", "Cancelled"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="purchase_orders")
    number = models.CharField(max_length=20)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="orders")
    state = models.CharField(max_length=13, choices=State.choices, default=State.DRAFT)
    note = models.TextField("words to the supplier", blank=True)
    supplier_ref = models.CharField("supplier's order number", max_length=40, blank=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    made_at = models.DateTimeField(default=timezone.now)
    sent_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        indexes = [
            models.Index(fields=["shop", "-made_at"]),
            models.Index(fields=["shop", "state", "-made_at"]),
        ]
        constraints = [
            models.UniqueConstraint(fields=["shop", "number"], name="order_number_once"),
            models.UniqueConstraint(
                fields=["supplier"], condition=Q(state="draft"), name="one_draft_a_supplier"
            ),
            models.CheckConstraint(
                name="order_state_known",
                condition=Q(
                    state__in=[
                        "draft",
                        "sent",
                        "confirmed",
                        "part_received",
                        "received",
                        "closed",
                        "cancelled",
                    ]
                ),
            ),
            models.CheckConstraint(
                name="order_sent_has_time",
                condition=Q(state__in=["draft", "cancelled"]) | Q(sent_at__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return self.number


class PurchaseLine(models.Model):
    """One part of an order: ordered, spoken for by pick lines, received, and what came wrong."""

    order = models.ForeignKey(PurchaseOrder, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="purchase_lines")
    number = models.CharField("supplier's number", max_length=60, blank=True)
    quantity = models.PositiveIntegerField()
    unit_cents = models.PositiveIntegerField(null=True, blank=True)
    spoken = models.PositiveIntegerField("spoken for by pick lines", default=0)
    received = models.PositiveIntegerField(default=0)
    damaged = models.PositiveIntegerField(default=0)
    wrong = models.PositiveIntegerField("came as another part", default=0)
    promised_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["order", "position"]
        indexes = [models.Index(fields=["part", "order"])]
        constraints = [
            models.UniqueConstraint(fields=["order", "position"], name="order_line_once"),
            models.UniqueConstraint(fields=["order", "part"], name="order_part_once"),
            models.CheckConstraint(
                name="order_quantity_sensible",
                condition=Q(quantity__gte=1, quantity__lte=MOST_ORDERED),
                violation_error_message="The quantity must be from 1 to 100,000.",
            ),
            models.CheckConstraint(
                name="order_price_sensible",
                condition=Q(unit_cents__isnull=True)
                | Q(unit_cents__gte=0, unit_cents__lte=MOST_CENTS),
                violation_error_message="The price must be from 0 to 20,000,000.",
            ),
            models.CheckConstraint(
                name="order_spoken_within_quantity",
                condition=Q(spoken__lte=F("quantity")),
                violation_error_message="More is promised to jobs than was ordered.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} × {self.part.number} on {self.order}"

    @property
    def outstanding(self) -> int:
        """Pieces that are still to come."""
        return max(self.quantity - self.received, 0)

    @property
    def over(self) -> int:
        """Pieces that came beyond what was ordered."""
        return max(self.received - self.quantity, 0)

    @property
    def unspoken(self) -> int:
        """Pieces still to come that no job waits for."""
        return max(self.outstanding - self.spoken, 0)

    @property
    def total_cents(self) -> int | None:
        """What the line comes to; None where no price is known."""
        return None if self.unit_cents is None else self.unit_cents * self.quantity

    @property
    def is_late(self) -> bool:
        """Whether the promised day is past and pieces are missing."""
        today = timezone.localdate()
        return bool(self.promised_on and self.outstanding and self.promised_on < today)


class Promise(models.Model):
    """What the supplier said when, and who heard it; earlier promises stay."""

    line = models.ForeignKey(PurchaseLine, on_delete=models.CASCADE, related_name="promises")
    promised_on = models.DateField()
    said_by = models.CharField("who said so", max_length=80)
    note = models.CharField(max_length=120, blank=True)
    noted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    noted_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-noted_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="promise_says_who",
                condition=~Q(said_by=""),
                violation_error_message="Say who promised it.",
            ),
            models.CheckConstraint(
                name="promise_day_sensible",
                condition=Q(promised_on__gte=date(2000, 1, 1), promised_on__lte=date(2200, 1, 1)),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.promised_on} for {self.line}"


class Receipt(models.Model):
    """One delivery against one line: good, damaged, or another part than was ordered."""

    line = models.ForeignKey(PurchaseLine, on_delete=models.PROTECT, related_name="receipts")
    stock = models.ForeignKey(
        StockItem, on_delete=models.PROTECT, related_name="receipts", null=True, blank=True
    )
    good = models.PositiveIntegerField(default=0)
    damaged = models.PositiveIntegerField(default=0)
    came_as = models.ForeignKey(
        Part, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    delivery_note = models.CharField(max_length=40, blank=True)
    note = models.CharField(max_length=200, blank=True)
    key = models.CharField(max_length=40, blank=True, help_text="The form that was sent, once.")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="receipt_counts_something", condition=Q(good__gte=1) | Q(damaged__gte=1)
            ),
            models.CheckConstraint(
                name="receipt_sensible", condition=Q(good__lte=200_000, damaged__lte=200_000)
            ),
            models.UniqueConstraint(
                fields=["line", "key"], condition=~Q(key=""), name="receipt_form_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.good} good, {self.damaged} damaged of {self.line}"


class OrderMove(models.Model):
    """One move of an order from state to state: by whom, when, why."""

    order = models.ForeignKey(PurchaseOrder, on_delete=models.CASCADE, related_name="moves")
    before = models.CharField(max_length=13, blank=True)
    after = models.CharField(max_length=13)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    at = models.DateTimeField(default=timezone.now)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.before} → {self.after}"

    @property
    def words(self) -> str:
        """Where it went, in the words of the state."""
        return PurchaseOrder.State(self.after).label
