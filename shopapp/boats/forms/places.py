"""The sheets of locations, routes and battery banks."""

from collections.abc import Iterable
from typing import Any

from django import forms

from shopapp.boats.forms.cells import OneOf, ThousandthField, YesNoField
from shopapp.boats.forms.sheets import BaseSheet, RowForm, sheet_of
from shopapp.boats.models import Bank, Boat, Location, Sureness
from shopapp.boats.services.places import uses_of
from shopapp.ui.forms import DayInput

PLACE_LIST = {"list": "place-names", "autocomplete": "off"}


def _whole(label: str) -> forms.IntegerField:
    return forms.IntegerField(label=label, required=False, min_value=0, max_value=30_000)


class LocationForm(RowForm):
    """A row of the sheet of locations."""

    name = forms.CharField(
        max_length=60, widget=forms.TextInput({"data-place-name": "", "autocomplete": "off"})
    )
    exposure = forms.ChoiceField(
        label="Dry or wet", choices=[("", "not known"), *Location.Exposure.choices[1:]],
        required=False,
    )  # fmt: skip
    vapour = YesNoField(label="Petrol vapour", yes="possible", no="none")
    switch_place = forms.BooleanField(label="Switch may go here", required=False, initial=True)
    x = forms.DecimalField(
        label="Stern 0 – bow 1", required=False, min_value=0, max_value=1, max_digits=4,
        decimal_places=3,
    )  # fmt: skip
    y = forms.DecimalField(
        label="Port 0 – starboard 1", required=False, min_value=0, max_value=1, max_digits=4,
        decimal_places=3,
    )  # fmt: skip
    hottest_c = forms.IntegerField(label="Hottest (°C)", required=False, min_value=0, max_value=150)
    compass_cm = _whole("To a compass (cm)")
    aerial_cm = _whole("To an antenna (cm)")
    in_beam = YesNoField(label="Radar's beam", yes="in it", no="out of it")
    opening_width_mm = _whole("Opening width (mm)")
    opening_height_mm = _whole("Opening height (mm)")
    depth_mm = _whole("Room behind (mm)")
    room_note = forms.CharField(label="Room and way in", max_length=200, required=False)


class LocationRows(BaseSheet):
    """The sheet of locations."""

    boat: Boat

    def clean(self) -> None:
        """Names once; nothing is struck where something lies."""
        self.say_once("name", "This boat has a location of that name already.")
        places = {place.pk: place for place in self.boat.locations.all()} if self.struck else {}
        for form in self.struck:
            place = places.get(form.initial.get("pk"))
            uses = uses_of(location=place) if place else []
            if uses:
                words = f"Still in use: {', '.join(uses[:3])}. Move them first, then strike it."
                self.refuse_strike(form, words)

    def names(self) -> set[str]:
        """The names that routes may use."""
        return {str(form.cleaned_data.get("name", "")).casefold() for form in self.kept} - {""}


class RouteForm(RowForm):
    """A row of the sheet of routes; ends by name, so that new locations serve at once."""

    a = forms.CharField(label="From", max_length=60, widget=forms.TextInput(PLACE_LIST))
    b = forms.CharField(label="To", max_length=60, widget=forms.TextInput(PLACE_LIST))
    feet = forms.IntegerField(
        label="Length (ft)", min_value=1, max_value=2000,
        error_messages={"min_value": "The length must be more than zero."},
    )  # fmt: skip
    sureness = forms.ChoiceField(
        label="Length is", choices=Sureness.choices, initial=Sureness.MEDIUM
    )
    note = forms.CharField(label="Tubes, bends, pull string", max_length=200, required=False)


class RouteRows(BaseSheet):
    """The sheet of routes; `places` is the sheet of locations sent with it."""

    places: LocationRows

    def clean(self) -> None:
        """Both ends on the boat and different, each pair once in either order."""
        names = self.places.names()
        pairs: set[frozenset[str]] = set()
        for form in self.kept:
            ends = {side: str(form.cleaned_data.get(side, "")) for side in ("a", "b")}
            for side, name in ends.items():
                if name and name.casefold() not in names:
                    form.add_error(side, f"There is no location “{name}”: enter it above first.")
            self._check_pair(form, frozenset(name.casefold() for name in ends.values()), pairs)

    def _check_pair(self, form: RowForm, pair: frozenset[str], pairs: set) -> None:
        if "" in pair:
            return
        if len(pair) == 1:
            form.add_error("b", "A route joins two different locations.")
        elif pair in pairs:
            form.add_error("b", "This route stands above already (a route runs both ways).")
        pairs.add(pair)


def place_sheets(boat: Boat, data: Any) -> tuple[LocationRows, RouteRows]:
    """Both sheets of a boat."""
    names = ["pk", *LocationForm.base_fields.keys() - {"pk"}]
    known = {row["pk"]: row for row in boat.locations.values(*names)}
    locations = sheet_of(LocationForm, LocationRows, prefix="places", data=data, known=known)
    locations.boat = boat
    ways = {
        row["pk"]: {**row, "a": row.pop("a__name"), "b": row.pop("b__name")}
        for row in boat.routes.values("pk", "a__name", "b__name", "feet", "sureness", "note")
    }
    routes = sheet_of(RouteForm, RouteRows, prefix="routes", data=data, known=ways)
    routes.places = locations
    return locations, routes


class BankForm(RowForm):
    """A row of the sheet of battery banks."""

    name = forms.CharField(max_length=60)
    use = forms.ChoiceField(choices=Bank.Use.choices, initial=Bank.Use.HOUSE)
    chemistry = forms.ChoiceField(
        choices=[("", "not known"), *[c for c in Bank.Chemistry.choices if c[0]]], required=False
    )
    volts = forms.TypedChoiceField(
        choices=[(str(v), f"{v} V") for v in (12, 24, 36, 48)], coerce=int, initial="12"
    )
    capacity_ah = forms.IntegerField(label="Capacity (Ah)", required=False, min_value=1)
    fuse_a = forms.IntegerField(label="Fuse at the bank (A)", required=False, min_value=1)
    block_a = forms.IntegerField(
        label="Fuse block (A)", required=False, min_value=1, max_value=2000
    )
    cutoff_a = forms.IntegerField(
        label="Cut-off switch (A)", required=False, min_value=1, max_value=2000
    )
    location = OneOf(
        label="Where it is", required=False, blank="not known",
        gone="Choose a location of this boat; enter it under Locations first.",
    )  # fmt: skip
    charger = forms.CharField(required=False, max_length=80)
    rested_mv = ThousandthField(label="Volts rested", max_value=100)
    rested_on = forms.DateField(label="Read on", required=False, widget=DayInput())

    def __init__(self, *args: Any, places: Iterable[Location], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["location"].lay(("", [(str(row.pk), row.name, row) for row in places]))

    def clean(self) -> dict[str, Any]:
        """A reading has its day."""
        facts = super().clean()
        if facts.get("rested_mv") and not facts.get("rested_on"):
            self.add_error("rested_on", "When were the volts read?")
        return facts


class BankRows(BaseSheet):
    """The sheet of battery banks."""

    boat: Boat

    def clean(self) -> None:
        """Names once; nothing is struck that feeds a unit."""
        self.say_once("name", "This boat has a bank of that name already.")
        banks = {bank.pk: bank for bank in self.boat.banks.all()} if self.struck else {}
        for form in self.struck:
            bank = banks.get(form.initial.get("pk"))
            fed = [unit.name for unit in bank.units.aboard()] if bank else []
            if fed:
                words = f"Still feeds {', '.join(fed[:3])}. Feed them otherwise first."
                self.refuse_strike(form, words)


def bank_sheet(boat: Boat, data: Any) -> BankRows:
    """The sheet of a boat's banks."""
    names = [
        "pk", "name", "use", "chemistry", "volts", "capacity_ah", "fuse_a", "block_a", "cutoff_a",
        "location", "charger", "rested_mv", "rested_on",
    ]  # fmt: skip
    rows = boat.banks.filter(retired_at__isnull=True).values(*names)
    known = {
        row["pk"]: {**row, "volts": str(row["volts"]), "location": str(row["location"] or "")}
        for row in rows
    }
    places = list(boat.locations.all())
    sheet = sheet_of(
        BankForm, BankRows, prefix="banks", data=data, known=known, places=places
    )  # fmt: skip
    sheet.boat = boat
    return sheet
