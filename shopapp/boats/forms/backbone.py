"""The sheet of a backbone: one row a tee, from end to end."""

from decimal import Decimal
from typing import Any

from django import forms

from shopapp.boats.forms.cells import OneOf, ThousandthField
from shopapp.boats.forms.sheets import BaseSheet, RowForm, sheet_of
from shopapp.boats.models import Backbone, Boat
from shopapp.boats.services.backbone import TeeRow, tee_rows
from shopapp.ui.forms import DeskForm

MORE_THAN_ZERO = "The length must be more than zero; empty means not known."


class BackboneForm(DeskForm):
    """A backbone's own facts."""

    name = forms.CharField(max_length=40, initial="Backbone")
    cable = forms.ChoiceField(choices=Backbone.CableKind.choices)
    measured_ohms = forms.DecimalField(
        label="Ohms read, power off", required=False, min_value=Decimal("0.1"), max_digits=6,
        decimal_places=1, help_text="Two good terminators read 60.",
    )  # fmt: skip
    note = forms.CharField(max_length=200, required=False)

    def __init__(self, *args: Any, boat: Boat, row: Backbone | None, **kwargs: Any) -> None:
        names = ("name", "cable", "measured_ohms", "note")
        initial = {name: getattr(row, name) for name in names} if row else None
        super().__init__(*args, initial=initial, prefix="bone", **kwargs)
        self.boat, self.row = boat, row

    def clean_name(self) -> str:
        """Once a boat."""
        name = self.cleaned_data["name"]
        others = self.boat.backbones.filter(name=name).exclude(pk=self.row.pk if self.row else None)
        if others.exists():
            raise forms.ValidationError("This boat has a backbone of that name already.")
        return name


class Metres(forms.DecimalField):
    """A length in metres, more than zero; empty: not known."""

    def __init__(self, label: str) -> None:
        super().__init__(
            label=label,
            required=False,
            min_value=Decimal("0.01"),
            max_value=200,
            max_digits=5,
            decimal_places=2,
            error_messages={"min_value": MORE_THAN_ZERO},
        )


class TeeForm(RowForm):
    """A row of the sheet of tees."""

    name = forms.CharField(
        label="Tee", max_length=20, required=False,
        widget=forms.TextInput({"data-no-copy": "", "placeholder": "auto", "class": "short"}),
    )  # fmt: skip
    location = OneOf(gone="Choose a location of this boat.")
    run_m = Metres("From the one before (m)")
    terminated = forms.BooleanField(label="Terminator", required=False)
    unit = OneOf(label="Drop to unit", required=False, gone="Choose a unit aboard this boat.")
    node = forms.CharField(label="or to", required=False, max_length=60)
    drop_m = Metres("Drop (m)")
    load_units = forms.IntegerField(label="Load (LEN)", required=False, min_value=0, max_value=1000)
    feeds = forms.BooleanField(label="Power in", required=False)
    fuse_ma = ThousandthField(label="Fuse (A)", max_value=1000)
    cutoff = forms.CharField(label="Cut-off", required=False, max_length=80)
    volts = forms.DecimalField(
        label="Volts there, electronics on", required=False, min_value=Decimal("0.1"),
        max_value=60, max_digits=4, decimal_places=1,
    )  # fmt: skip

    def __init__(self, *args: Any, boat: Boat, lists: dict, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["location"].lay(("", lists["locations"]))
        self.fields["unit"].lay(("", lists["units"]))

    def clean(self) -> dict[str, Any]:
        """Fuse, cut-off and volts belong to a power feed; a drop goes to one thing."""
        facts = super().clean()
        of_feed = [facts.get(name) for name in ("fuse_ma", "cutoff", "volts")]
        if not facts.get("feeds") and any(of_feed):
            self.add_error("feeds", "Tick this: a fuse, cut-off or volts are noted.")
        if facts.get("unit") and facts.get("node"):
            self.add_error("node", "Either the unit or this.")
        return facts

    def tee(self) -> TeeRow:
        """What the service takes."""
        names = {name for name in self.fields if name not in {"pk", "DELETE"}}
        return TeeRow(**{name: self.cleaned_data.get(name) for name in names})


class TeeRows(BaseSheet):
    """The tees in order."""

    def clean(self) -> None:
        """Names once; tees without one are numbered in order."""
        taken = {form.cleaned_data.get("name") for form in self.kept}
        for place, form in enumerate(self.kept, 1):
            if not form.cleaned_data.get("name") and "name" not in form.errors:
                free = (f"T{n}" for n in range(place, place + 300))
                form.cleaned_data["name"] = next(name for name in free if name not in taken)
                taken.add(form.cleaned_data["name"])
        self.say_once("name", "Another tee has this name.")

    def tees(self) -> list[TeeRow]:
        """What the service takes."""
        return [form.tee() for form in self.kept]


def tee_sheet(boat: Boat, backbone: Backbone | None, data: Any) -> TeeRows:
    """The sheet of a backbone's tees; rows are numbered by their place."""
    lists = {
        "locations": [(str(row.pk), row.name, row) for row in boat.locations.all()],
        "units": [
            (str(row.pk), f"{row.name} · {row.model}", row)
            for row in boat.units.aboard().select_related("model")
        ],
    }
    rows = tee_rows(backbone=backbone) if backbone else []
    known = {place: _values(place, row) for place, row in enumerate(rows, 1)}
    return sheet_of(TeeForm, TeeRows, prefix="tees", data=data, known=known, boat=boat, lists=lists)


def _values(place: int, row: TeeRow) -> dict[str, Any]:
    return {
        **row.__dict__,
        "pk": place,
        "location": str(row.location.pk),
        "unit": str(row.unit.pk) if row.unit else "",
    }
