"""The boat, its owners, its banks, its locations and the routes between them."""

from typing import Self

from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from simple_history.models import HistoricalRecords

from shopapp.accounts.models import Retirable, Shop
from shopapp.customers.models import Customer


class Sureness(models.TextChoices):
    """How sure a stated value is."""

    HIGH = "high", "measured"
    MEDIUM = "medium", "good guess"
    LOW = "low", "rough guess"


class BoatQuerySet(Retirable):
    """Questions about boats."""

    def matching(self, words: str) -> Self:
        """Those whose name, owner, hull number, registration or berth holds every word."""
        found = self
        for word in words.lower().split():
            found = found.filter(search__contains=word)
        return found


class Boat(models.Model):
    """A boat; its installed history stays with it whoever owns it."""

    class BoatKind(models.TextChoices):
        OPEN = "open", "Open console"
        STERNDRIVE = "sterndrive", "Sterndrive"
        CRUISER = "cruiser", "Cruiser"
        SAIL = "sail", "Sail"
        WORK = "work", "Workboat"

    class Fuel(models.TextChoices):
        UNKNOWN = "", "Not known"
        GASOLINE_INBOARD = "gasoline_inboard", "Gasoline, inboard or sterndrive"
        GASOLINE_OUTBOARD = "gasoline_outboard", "Gasoline, outboard"
        DIESEL = "diesel", "Diesel"
        ELECTRIC = "electric", "Electric"

    class Hull(models.TextChoices):
        UNKNOWN = "", "Not known"
        SOLID = "solid", "Solid laminate"
        CORED = "cored", "Cored laminate"
        WOOD = "wood", "Wood"
        METAL = "metal", "Metal"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="boats")
    customer = models.ForeignKey(
        Customer, on_delete=models.PROTECT, related_name="boats", verbose_name="owner"
    )
    name = models.CharField(max_length=80)
    hull_number_read = models.CharField("hull number as read", max_length=30, blank=True)
    hull_number = models.CharField(max_length=30, blank=True, editable=False)
    registration = models.CharField(max_length=30, blank=True)
    builder = models.CharField("builder and model", max_length=120, blank=True)
    year = models.PositiveSmallIntegerField(null=True, blank=True)
    kind = models.CharField(max_length=10, choices=BoatKind.choices, default=BoatKind.OPEN)
    length_ft = models.DecimalField("length overall (ft)", max_digits=5, decimal_places=1)
    beam_ft = models.DecimalField(
        "beam (ft)", max_digits=4, decimal_places=1, null=True, blank=True
    )
    draught_ft = models.DecimalField(
        "draught (ft)", max_digits=4, decimal_places=1, null=True, blank=True
    )
    air_draught_ft = models.DecimalField(
        "air draught (ft)", max_digits=5, decimal_places=1, null=True, blank=True
    )
    hull_material = models.CharField(max_length=6, choices=Hull.choices, blank=True, default="")
    fuel = models.CharField(max_length=18, choices=Fuel.choices, blank=True, default="")
    engines = models.CharField(max_length=120, blank=True)
    dc_volts = models.PositiveSmallIntegerField(
        "DC system (V)",
        null=True,
        blank=True,
        choices=[(12, "12 V"), (24, "24 V"), (36, "36 V"), (48, "48 V")],
    )
    dc_limit_ma = models.PositiveIntegerField(
        "electronics feed limit (mA)", null=True, blank=True, help_text="Empty: no limit known."
    )
    slack_ft = models.PositiveSmallIntegerField(
        "slack for each cable (ft)", null=True, blank=True, help_text="Empty: the shop's own."
    )
    marina = models.CharField(max_length=80, blank=True)
    berth = models.CharField(max_length=40, blank=True)
    dock_power = models.BooleanField(null=True, blank=True)
    access = models.TextField("keys, gate, hours, dog", blank=True)
    passengers = models.BooleanField(
        "carries passengers for hire", default=False, help_text="Other rules apply: 46 CFR 183."
    )
    note = models.TextField(blank=True)
    search = models.CharField(max_length=400, editable=False, default="")
    facts_changed_at = models.DateTimeField(default=timezone.now, editable=False)
    retired_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords(excluded_fields=["search", "facts_changed_at"])

    objects = BoatQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        indexes = [
            models.Index(fields=["shop", "name", "id"]),
            models.Index(fields=["shop", "hull_number"]),
        ]
        constraints = [
            models.CheckConstraint(
                name="boat_length_positive",
                condition=Q(length_ft__gt=0),
                violation_error_message="The length must be more than zero.",
            ),
            models.CheckConstraint(
                name="boat_beam_positive",
                condition=Q(beam_ft__isnull=True) | Q(beam_ft__gt=0),
                violation_error_message="The beam must be more than zero.",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Ownership(models.Model):
    """Who owned the boat from when until when."""

    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="ownerships")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="ownerships")
    since = models.DateField(null=True, blank=True)
    until = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["-since", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["boat"], condition=Q(until__isnull=True), name="one_owner_at_a_time"
            ),
            models.CheckConstraint(
                name="ownership_dates_in_order",
                condition=Q(since__isnull=True) | Q(until__isnull=True) | Q(until__gte=F("since")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.customer} of {self.boat}"


class Bank(models.Model):
    """A battery bank."""

    class Use(models.TextChoices):
        START = "start", "Start"
        HOUSE = "house", "House"
        MOTOR = "motor", "Trolling motor"
        BOW = "bow", "Bow"

    class Chemistry(models.TextChoices):
        UNKNOWN = "", "Not known"
        FLOODED = "flooded", "Flooded lead-acid"
        AGM = "agm", "AGM"
        GEL = "gel", "Gel"
        LITHIUM = "lithium", "Lithium iron phosphate"

    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="banks")
    name = models.CharField(max_length=60)
    use = models.CharField(max_length=5, choices=Use.choices)
    chemistry = models.CharField(max_length=7, choices=Chemistry.choices, blank=True, default="")
    volts = models.PositiveSmallIntegerField(default=12)
    capacity_ah = models.PositiveSmallIntegerField("capacity (Ah)", null=True, blank=True)
    fuse_a = models.PositiveSmallIntegerField("fuse at the bank (A)", null=True, blank=True)
    block_a = models.PositiveSmallIntegerField("fuse block (A)", null=True, blank=True)
    cutoff_a = models.PositiveSmallIntegerField("cut-off switch (A)", null=True, blank=True)
    location = models.ForeignKey(
        "Location", on_delete=models.SET_NULL, related_name="banks", null=True, blank=True
    )
    charger = models.CharField(max_length=80, blank=True)
    rested_mv = models.PositiveIntegerField("volts rested (mV)", null=True, blank=True)
    rested_on = models.DateField(null=True, blank=True)
    retired_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["boat", "name"]
        constraints = [
            models.UniqueConstraint(fields=["boat", "name"], name="bank_name_once_a_boat"),
            models.CheckConstraint(name="bank_volts_positive", condition=Q(volts__gt=0)),
        ]

    def __str__(self) -> str:
        return self.name


class Location(models.Model):
    """A place aboard where units sit and cables end."""

    class Exposure(models.TextChoices):
        UNKNOWN = "", "Not known"
        DRY = "dry", "Dry"
        SPLASH = "splash", "Splash"
        WET = "wet", "Wet"

    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="locations")
    name = models.CharField(max_length=60)
    x = models.DecimalField(
        "stern 0 to bow 1", max_digits=4, decimal_places=3, null=True, blank=True
    )
    y = models.DecimalField(
        "port 0 to starboard 1", max_digits=4, decimal_places=3, null=True, blank=True
    )
    exposure = models.CharField(max_length=6, choices=Exposure.choices, blank=True, default="")
    vapour = models.BooleanField("petrol vapour possible", null=True, blank=True)
    hottest_c = models.PositiveSmallIntegerField("gets as hot as (°C)", null=True, blank=True)
    compass_cm = models.PositiveSmallIntegerField(
        "to the nearest compass (cm)", null=True, blank=True
    )
    aerial_cm = models.PositiveSmallIntegerField(
        "to the nearest antenna (cm)", null=True, blank=True
    )
    in_beam = models.BooleanField("in a radar's beam", null=True, blank=True)
    opening_width_mm = models.PositiveSmallIntegerField(
        "opening, width (mm)", null=True, blank=True, help_text="0: none is cut."
    )
    opening_height_mm = models.PositiveSmallIntegerField(
        "opening, height (mm)", null=True, blank=True
    )
    depth_mm = models.PositiveSmallIntegerField("room behind (mm)", null=True, blank=True)
    room_note = models.CharField("room and way in", max_length=200, blank=True)
    switch_place = models.BooleanField("a switch may be put here", default=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["boat", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["boat", "name"],
                name="location_once_a_boat",
                violation_error_message="This boat has a location of that name already.",
            ),
            models.CheckConstraint(
                name="location_x_on_the_boat",
                condition=Q(x__isnull=True) | Q(x__gte=0, x__lte=1),
            ),
            models.CheckConstraint(
                name="location_y_on_the_boat",
                condition=Q(y__isnull=True) | Q(y__gte=0, y__lte=1),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Route(models.Model):
    """A way for a cable between two locations, as it really runs."""

    boat = models.ForeignKey(Boat, on_delete=models.CASCADE, related_name="routes")
    a = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="routes_out")
    b = models.ForeignKey(Location, on_delete=models.PROTECT, related_name="routes_in")
    feet = models.PositiveSmallIntegerField("length along the route (ft)")
    sureness = models.CharField(max_length=6, choices=Sureness.choices, default=Sureness.MEDIUM)
    note = models.CharField("tubes, bends, pull string", max_length=200, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["boat", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["boat", "a", "b"], name="route_once_a_pair"),
            models.CheckConstraint(
                name="route_goes_somewhere",
                condition=~Q(a=F("b")),
                violation_error_message="A route joins two different locations.",
            ),
            models.CheckConstraint(
                name="route_length_positive",
                condition=Q(feet__gt=0),
                violation_error_message="The length must be more than zero.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.a} – {self.b}, {self.feet} ft"
