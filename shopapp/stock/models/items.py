"""What lies at which place, what of it is spoken for, and every movement that made it so."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from shopapp.accounts.models import OfShop, Shop
from shopapp.catalog.models import Part

MOST_ON_HAND = 1_000_000


class Place(models.Model):
    """A place that is more than a shelf: a van, goods in, or set aside. Others are shelves."""

    class PlaceKind(models.TextChoices):
        SHELF = "shelf", "Shelf or bin"
        VAN = "van", "Van"
        ASIDE = "aside", "Set aside"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="places")
    name = models.CharField(max_length=40)
    kind = models.CharField(max_length=5, choices=PlaceKind.choices, default=PlaceKind.SHELF)

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "name"],
                name="place_once_a_shop",
                violation_error_message="This place is in the list already.",
            ),
            models.CheckConstraint(
                name="place_kind_known", condition=Q(kind__in=["shelf", "van", "aside"])
            ),
        ]

    def __str__(self) -> str:
        return self.name


class StockQuerySet(OfShop):
    """Questions about what lies where."""

    def to_give_out(self) -> Self:
        """Only what may be promised to jobs: nothing that is set aside."""
        aside = Place.objects.filter(
            shop=models.OuterRef("shop"), name=models.OuterRef("place"), kind="aside"
        )
        return self.exclude(models.Exists(aside))


class StockItem(models.Model):
    """A part at a place: pieces on hand, how many of them are reserved, and picked into totes."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="stock_items")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="stock")
    place = models.CharField("shelf, bin or van", max_length=40)
    on_hand = models.PositiveIntegerField(default=0)
    reserved = models.PositiveIntegerField(default=0)
    picked = models.PositiveIntegerField("of the reserved, in totes", default=0)

    objects = StockQuerySet.as_manager()

    class Meta:
        ordering = ["part", "place"]
        indexes = [models.Index(fields=["shop", "place", "part"])]
        constraints = [
            models.UniqueConstraint(fields=["part", "place"], name="stock_once_a_place"),
            models.CheckConstraint(
                name="stock_reserved_within_on_hand",
                condition=Q(reserved__lte=F("on_hand")),
                violation_error_message="More is reserved here than lies on the shelf.",
            ),
            models.CheckConstraint(
                name="stock_picked_within_reserved",
                condition=Q(picked__lte=F("reserved")),
                violation_error_message="More is picked here than is reserved.",
            ),
            models.CheckConstraint(
                name="stock_on_hand_sensible",
                condition=Q(on_hand__lte=MOST_ON_HAND),
                violation_error_message="No shelf holds so many pieces of one part.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part.number} at {self.place}"

    @property
    def free(self) -> int:
        """Pieces that nobody has spoken for."""
        return self.on_hand - self.reserved

    @property
    def in_bin(self) -> int:
        """Pieces that lie at the place itself, not in a tote."""
        return self.on_hand - self.picked


class Movement(models.Model):
    """One change of what lies at a place; the sums of all of them are the counts."""

    class MoveKind(models.TextChoices):
        RECEIVE = "receive", "Received"
        RESERVE = "reserve", "Reserved"
        RELEASE = "release", "Released"
        PICK = "pick", "Picked"
        UNPICK = "unpick", "Put back"
        ISSUE = "issue", "Issued"
        RETURN = "return", "Returned"
        SCRAP = "scrap", "Scrapped"
        ADJUST = "adjust", "Count corrected"
        MOVE = "move", "Moved"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="movements")
    stock = models.ForeignKey(StockItem, on_delete=models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=7, choices=MoveKind.choices)
    on_hand = models.IntegerField(default=0)
    reserved = models.IntegerField(default=0)
    picked = models.IntegerField(default=0)
    ref = models.CharField("for which job or order", max_length=30, blank=True)
    reason = models.CharField(max_length=100, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    at = models.DateTimeField(default=timezone.now)

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [
            models.Index(fields=["stock", "-at"]),
            models.Index(fields=["shop", "-at"]),
            models.Index(fields=["shop", "ref"]),
        ]
        constraints = [
            models.CheckConstraint(
                name="movement_moves_something",
                condition=~Q(on_hand=0, reserved=0, picked=0),
            ),
            models.CheckConstraint(
                name="movement_kind_known",
                condition=Q(
                    kind__in=[
                        "receive",
                        "reserve",
                        "release",
                        "pick",
                        "unpick",
                        "issue",
                        "return",
                        "scrap",
                        "adjust",
                        "move",
                    ]
                ),
            ),
            models.CheckConstraint(
                name="movement_adjust_has_reason", condition=~Q(kind="adjust") | ~Q(reason="")
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.on_hand:+d} {self.reserved:+d} at {self.stock}"


class Piece(models.Model):
    """One piece with a serial, as its box said when it was received."""

    class State(models.TextChoices):
        HERE = "here", "In stock"
        ASIDE = "aside", "Set aside"
        TOTE = "tote", "In a tote"
        OUT = "out", "With the technician"
        FITTED = "fitted", "Fitted"
        SCRAPPED = "scrapped", "Scrapped"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="pieces")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="boxes")
    serial = models.CharField(max_length=60)
    firmware = models.CharField("firmware on the box", max_length=40, blank=True)
    region = models.CharField(max_length=20, blank=True)
    state = models.CharField(max_length=8, choices=State.choices, default=State.HERE)
    stock = models.ForeignKey(
        StockItem, on_delete=models.PROTECT, related_name="pieces", null=True, blank=True
    )
    receipt = models.ForeignKey(
        "stock.Receipt", on_delete=models.PROTECT, related_name="pieces", null=True, blank=True
    )
    ref = models.CharField("for which job", max_length=30, blank=True)
    note = models.CharField(max_length=120, blank=True)
    received_at = models.DateTimeField(default=timezone.now)

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["part", "serial"]
        indexes = [models.Index(fields=["shop", "ref"]), models.Index(fields=["part", "state"])]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "part", "serial"],
                name="serial_once_a_part",
                violation_error_message="This serial was received before.",
            ),
            models.CheckConstraint(name="piece_has_serial", condition=~Q(serial="")),
            models.CheckConstraint(
                name="piece_state_known",
                condition=Q(state__in=["here", "aside", "tote", "out", "fitted", "scrapped"]),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part.number} serial {self.serial}"
