"""The sheet of network cables."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django import forms

from shopapp.boats.forms.cells import OneOf
from shopapp.boats.forms.sheets import BaseSheet, RowForm, sheet_of
from shopapp.boats.models import Boat, Cable, CableEnd, Location, Unit
from shopapp.boats.services.cables import End, check_cables
from shopapp.catalog.models import Part
from shopapp.ui.forms import FigureInput

NOT_ABOARD = "Choose a unit or location of this boat."


@dataclass
class Ends:
    """What a cable of the boat may be made of and end in, fetched once for the sheet."""

    boat: Boat
    units: list[Unit]
    locations: list[Location]
    parts: list[Part]

    @classmethod
    def of(cls, boat: Boat, parts_in_use: Iterable[int]) -> "Ends":
        """Units aboard, all locations, and the shop's network cables."""
        cables = Part.objects.of(boat.shop_id).filter(kind=Part.PartKind.CABLE)
        cables = cables.current() | cables.filter(pk__in=list(parts_in_use))
        return cls(
            boat,
            list(boat.units.aboard().select_related("model", "location")),
            list(boat.locations.all()),
            list(cables.order_by("cable_ft", "number").distinct()),
        )

    def lay(self, form: forms.Form) -> None:
        """Fill a row's lists."""
        parts = [(str(part.pk), f"{part.cable_ft} ft · {part.number}", part) for part in self.parts]
        units = [
            (f"u{unit.pk}", f"{unit.name} · {unit.model}, {unit.location}", End(unit=unit))
            for unit in self.units
        ]
        loose = [
            (f"l{place.pk}", f"loose at {place.name}", End(location=place))
            for place in self.locations
        ]
        form.fields["part"].lay(("", parts))
        for side in ("a", "b"):
            form.fields[f"end_{side}"].lay(("In a unit", units), ("Loose at", loose))


class Port(forms.IntegerField):
    """A port's number, counted from 1; empty: not known."""

    def __init__(self) -> None:
        super().__init__(
            label="Port",
            required=False,
            min_value=1,
            error_messages={"min_value": "Ports count from 1."},
            widget=FigureInput({"inputmode": "numeric", "class": "figure port"}),
        )


class CableForm(RowForm):
    """A row of the sheet of cables."""

    label = forms.SlugField(
        required=False, max_length=40,
        widget=forms.TextInput({"data-no-copy": "", "placeholder": "auto", "class": "short"}),
        error_messages={"invalid": "Letters, figures, - and _ only, as on a flag: c1."},
    )  # fmt: skip
    part = OneOf(
        label="Type",
        gone="Choose a network cable of the catalogue.",
        widget=forms.Select({"class": "type"}),
    )
    end_a = OneOf(label="End A", gone=NOT_ABOARD, widget=forms.Select({"class": "end"}))
    port_a = Port()
    end_b = OneOf(label="End B", gone=NOT_ABOARD, widget=forms.Select({"class": "end"}))
    port_b = Port()
    note = forms.CharField(max_length=200, required=False)

    def __init__(self, *args: Any, ends: Ends, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        ends.lay(self)

    def values(self) -> dict[str, Any]:
        """The ends with their ports."""
        facts = self.cleaned_data
        return {
            "label": facts.get("label", ""),
            "part": facts.get("part"),
            "note": facts.get("note", ""),
            "end_a": self._end("a"),
            "end_b": self._end("b"),
        }

    def _end(self, side: str) -> End:
        end = self.cleaned_data.get(f"end_{side}") or End()
        return End(end.unit, end.location, self.cleaned_data.get(f"port_{side}"))

    def changed(self) -> frozenset[str]:
        """A port belongs to its end."""
        names = {name.replace("port_", "end_") for name in self.changed_data}
        return frozenset(names) - {"pk", "DELETE"}


class CableRows(BaseSheet):
    """The sheet of cables."""

    boat: Boat

    def clean(self) -> None:
        """Labels once; ports that are there, one cable in each."""
        self.say_once("label", "Another cable of this sheet has this label.")
        for fault in check_cables(boat=self.boat, cables=self.rows()):
            form = self.kept[fault.row]
            if fault.field not in form.errors:
                form.add_error(fault.field, fault.message)

    def mark_differences(self) -> None:
        """Ports are told with their ends."""
        for form in self.kept:
            for name in set(form.changed_data) - {"pk", "DELETE"} if form.initial else ():
                form.add_error(name, f"On record now: {form.initial.get(name) or 'nothing'}.")


def known_cables(boat: Boat) -> dict[int, dict[str, Any]]:
    """Cables on record as a sheet's rows."""
    rows = boat.cables.filter(retired_at__isnull=True).prefetch_related("ends")
    return {cable.pk: _values(cable) for cable in rows}


def _values(cable: Cable) -> dict[str, Any]:
    values = {
        "pk": cable.pk,
        "label": cable.label,
        "part": str(cable.part_id),
        "note": cable.note,
    }
    for end in cable.ends.all():
        values[f"end_{end.side}"] = _key(end)
        values[f"port_{end.side}"] = end.port
    return values


def _key(end: CableEnd) -> str:
    return f"u{end.unit_id}" if end.unit_id else f"l{end.location_id}"


def cable_sheet(boat: Boat, data: Any) -> CableRows:
    """The sheet of a boat's cables."""
    known = known_cables(boat)
    ends = Ends.of(boat, (int(row["part"]) for row in known.values()))
    sheet = sheet_of(CableForm, CableRows, prefix="cables", data=data, known=known, ends=ends)
    sheet.boat = boat
    return sheet
