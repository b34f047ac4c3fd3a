"""Pick lists: what a job takes from the shelves, line by line, and each scan of a picker."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from shopapp.catalog.models import Part
from shopapp.jobs.models.job import Job
from shopapp.stock.models import Piece, PurchaseLine, StockItem

MOST_WANTED = 100_000
MOST_TOTES = 20


class PickList(models.Model):
    """The parts that a job takes from the shelves; one open list a job."""

    class State(models.TextChoices):
        OPEN = "open", "Open"
        STAGED = "staged", "Staged"
        ISSUED = "issued", "Issued"
        CANCELLED = "cancelled", "Cancelled"

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="pick_lists")
    state = models.CharField(max_length=9, choices=State.choices, default=State.OPEN)
    made_at = models.DateTimeField(default=timezone.now)
    totes = models.PositiveSmallIntegerField(default=1)
    extras = models.JSONField("always in the tote, ticked", default=list, blank=True)
    extras_why = models.CharField("why one is left out", max_length=120, blank=True)
    split_reason = models.CharField("why it goes without all parts", max_length=120, blank=True)
    staged_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    staged_at = models.DateTimeField(null=True, blank=True)
    issued_to = models.CharField(max_length=120, blank=True)
    issued_at = models.DateTimeField(null=True, blank=True)
    settled_at = models.DateTimeField("use written down", null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]
        indexes = [models.Index(fields=["state", "-made_at"])]
        constraints = [
            models.UniqueConstraint(
                fields=["job"], condition=~Q(state="cancelled"), name="one_pick_list_a_job"
            ),
            models.CheckConstraint(
                name="pick_list_totes_sensible", condition=Q(totes__gte=1, totes__lte=MOST_TOTES)
            ),
        ]

    def __str__(self) -> str:
        return f"pick list of {self.job}"


class PickLine(models.Model):
    """One part wanted from one place: counts of each step on its way, and the state they make."""

    class State(models.TextChoices):
        WANTED = "wanted", "Wanted"
        RESERVED = "reserved", "Reserved"
        SHORT = "short", "Short"
        PICKED = "picked", "Picked"
        STAGED = "staged", "Staged"
        ISSUED = "issued", "Issued"
        USED = "used", "Used"
        RETURNED = "returned", "Returned"
        SCRAPPED = "scrapped", "Scrapped"

    pick_list = models.ForeignKey(PickList, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="pick_lines")
    instead_of = models.ForeignKey(
        Part, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    state = models.CharField(max_length=8, choices=State.choices, default=State.WANTED)
    wanted = models.PositiveIntegerField()
    stock = models.ForeignKey(
        StockItem, on_delete=models.PROTECT, related_name="pick_lines", null=True, blank=True
    )
    reserved = models.PositiveIntegerField(default=0)
    purchase_line = models.ForeignKey(
        PurchaseLine, on_delete=models.PROTECT, related_name="pick_lines", null=True, blank=True
    )
    ordered = models.PositiveIntegerField("reserved on order", default=0)
    picked = models.PositiveIntegerField(default=0)
    issued = models.PositiveIntegerField(default=0)
    used = models.PositiveIntegerField(default=0)
    returned = models.PositiveIntegerField(default=0)
    scrapped = models.PositiveIntegerField(default=0)
    spare = models.BooleanField("taken along in case", default=False)
    note = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["pick_list", "position"]
        indexes = [
            models.Index(fields=["part", "state"]),
            models.Index(
                fields=["pick_list", "part"],
                condition=Q(state__in=["short", "reserved"]),
                name="pick_line_waiting",
            ),
            models.Index(
                fields=["part", "pick_list"], condition=Q(state="short"), name="pick_line_short"
            ),
            models.Index(fields=["pick_list"], condition=Q(state="issued"), name="pick_line_out"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["pick_list", "position"], name="pick_line_once"),
            models.CheckConstraint(
                name="pick_wanted_positive", condition=Q(wanted__gte=1, wanted__lte=MOST_WANTED)
            ),
            models.CheckConstraint(
                name="pick_reserved_within_wanted",
                condition=Q(wanted__gte=F("reserved") + F("ordered")),
            ),
            models.CheckConstraint(
                name="pick_picked_within_wanted",
                condition=Q(picked__lte=F("wanted")),
                violation_error_message="More is picked than wanted.",
            ),
            models.CheckConstraint(
                name="pick_issued_within_picked", condition=Q(issued__lte=F("picked"))
            ),
            models.CheckConstraint(
                name="pick_ends_within_issued",
                condition=Q(issued__gte=F("used") + F("returned") + F("scrapped")),
                violation_error_message="More is used, returned and scrapped than was issued.",
            ),
            models.CheckConstraint(
                name="pick_reserved_has_place",
                condition=(Q(reserved=0) | Q(stock__isnull=False))
                & (Q(ordered=0) | Q(purchase_line__isnull=False)),
            ),
            models.CheckConstraint(
                name="pick_state_fits_counts",
                condition=Q(state="wanted", reserved=0, ordered=0, picked=0, issued=0)
                | Q(state="reserved", wanted=F("reserved") + F("ordered"))
                | Q(state="short", wanted__gt=F("reserved") + F("ordered"))
                | Q(state__in=["picked", "staged"], picked=F("wanted"), issued=0)
                | Q(state="issued", issued__gt=F("used") + F("returned") + F("scrapped"))
                | Q(state="used", used__gte=1, issued=F("used") + F("returned") + F("scrapped"))
                | Q(state="returned", used=0, returned__gte=1, issued=F("returned") + F("scrapped"))
                | Q(state="scrapped", used=0, returned=0, scrapped__gte=1, issued=F("scrapped")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.wanted} × {self.part}"

    @property
    def short(self) -> int:
        """Pieces that are not here: neither reserved on a shelf nor picked."""
        return self.wanted - max(self.reserved, self.picked)

    @property
    def missing(self) -> int:
        """Pieces that nothing is reserved for, neither on a shelf nor on order."""
        return max(self.wanted - max(self.reserved, self.picked) - self.ordered, 0)

    @property
    def out(self) -> int:
        """Pieces issued of which nobody has said what became of them."""
        return self.issued - self.used - self.returned - self.scrapped

    @property
    def at_hand(self) -> int:
        """Pieces that may have been used: those issued and not back, else those reserved."""
        return self.issued - self.returned - self.scrapped if self.issued else self.reserved

    def derive_state(self) -> str:
        """The state that the counts make; a staged line stays staged until it is issued."""
        if self.issued:
            ends = [(self.out, "issued"), (self.used, "used"), (self.returned, "returned")]
            return next((state for count, state in ends if count), self.State.SCRAPPED)
        if self.picked == self.wanted:
            staged = self.state == self.State.STAGED
            return self.State.STAGED if staged else self.State.PICKED
        whole = self.reserved + self.ordered == self.wanted
        return self.State.RESERVED if whole else self.State.SHORT

    def settle_state(self) -> "PickLine":
        """Write the state that the counts make; unsaved."""
        self.state = self.derive_state()
        return self


class PickScan(models.Model):
    """One scan that counted a piece; taken back, it stays as a row."""

    pick_list = models.ForeignKey(PickList, on_delete=models.CASCADE, related_name="scans")
    line = models.ForeignKey(PickLine, on_delete=models.CASCADE, related_name="scans")
    piece = models.ForeignKey(
        Piece, on_delete=models.PROTECT, related_name="scans", null=True, blank=True
    )
    code = models.CharField(max_length=80)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["pick_list", "-at"])]

    def __str__(self) -> str:
        return self.code
