"""The survey's sections: which sheets stand on each, and which service saves them."""

from typing import Any

from django.http import HttpRequest

from shopapp.boats.forms.backbone import BackboneForm, tee_sheet
from shopapp.boats.forms.cables import cable_sheet
from shopapp.boats.forms.places import bank_sheet, place_sheets
from shopapp.boats.forms.sheets import BaseSheet
from shopapp.boats.forms.units import unit_sheet
from shopapp.boats.models import Backbone, Boat
from shopapp.boats.services.backbone import save_backbone
from shopapp.boats.services.cables import save_cables
from shopapp.boats.services.evidence import Seen
from shopapp.boats.services.places import save_banks, save_places
from shopapp.boats.services.units import save_units
from shopapp.ui.forms import DeskForm


class Section:
    """One page of the survey: sheets with a heading each, saved together or not at all."""

    key = ""
    title = ""
    word = ""
    hint = ""
    form: DeskForm | None = None
    # The list of sections in a template is one of classes, not of calls.
    do_not_call_in_templates = True

    def __init__(self, boat: Boat, request: HttpRequest) -> None:
        self.boat = boat
        self.data = request.POST if request.method == "POST" else None
        self.request = request
        self.sheets: list[tuple[str, BaseSheet, str]] = []
        self.build()
        if self.data is None:
            self._begin()

    def _begin(self) -> None:
        # Entry goes on by keyboard: the cursor waits in the first empty row.
        form = self.sheets[0][1].forms[-1]
        form.visible_fields()[0].field.widget.attrs["autofocus"] = True

    def build(self) -> None:
        """Lay out the sheets: heading, sheet, the words of its button."""
        raise NotImplementedError

    def save(self, seen: Seen) -> int:
        """Save all; the answer counts values that stronger evidence kept as they were."""
        raise NotImplementedError

    def is_valid(self) -> bool:
        """Check every sheet, so that all errors show at once."""
        parts: list[Any] = [sheet for _, sheet, _ in self.sheets]
        parts += [self.form] if self.form is not None else []
        checked = [part.is_valid() for part in parts]
        return all(checked)

    def mark_differences(self) -> None:
        """Say beside changed cells what is on record now."""
        for _, sheet, _ in self.sheets:
            sheet.mark_differences()


class Places(Section):
    """Locations and routes."""

    key, title, word = "places", "Locations and routes", "locations and routes"
    hint = (
        "Where units sit and cables end, and the ways between them as a cable really runs. "
        "A route may name a location that is entered in the same save."
    )

    def build(self) -> None:
        """Locations above, routes below."""
        self.locations, self.routes = place_sheets(self.boat, self.data)
        self.sheets = [
            ("Locations", self.locations, "Add a location"),
            ("Routes", self.routes, "Add a route"),
        ]

    def save(self, seen: Seen) -> int:
        """Both sheets in one."""
        return save_places(
            boat=self.boat, locations=self.locations.rows(), routes=self.routes.rows(), seen=seen
        )


class Banks(Section):
    """Battery banks."""

    key, title, word = "banks", "Battery banks", "battery banks"
    hint = "What feeds the electronics. Leave empty what nobody has seen: empty means not known."

    def build(self) -> None:
        """One sheet."""
        self.banks = bank_sheet(self.boat, self.data)
        self.sheets = [("Battery banks", self.banks, "Add a bank")]

    def save(self, seen: Seen) -> int:
        """One sheet."""
        return save_banks(boat=self.boat, banks=self.banks.rows(), seen=seen)


class Units(Section):
    """Installed units."""

    key, title, word = "units", "Units", "units"
    hint = (
        "Type a few letters of the model. An empty short name is given by itself; an empty "
        "release means not known. A struck unit is kept on record as removed."
    )

    def build(self) -> None:
        """One sheet."""
        self.units = unit_sheet(self.boat, self.data, self.request)
        self.sheets = [("Units", self.units, "Add a unit")]

    def save(self, seen: Seen) -> int:
        """One sheet."""
        return save_units(boat=self.boat, units=self.units.rows(), seen=seen)


class Cables(Section):
    """Network cables."""

    key, title, word = "cables", "Network cables", "network cables"
    hint = (
        "From port to port. Type the unit's short name to jump to it in the list; the location "
        "follows from the unit. An empty port means not known."
    )

    def build(self) -> None:
        """One sheet."""
        self.cables = cable_sheet(self.boat, self.data)
        self.sheets = [("Network cables", self.cables, "Add a cable")]

    def save(self, seen: Seen) -> int:
        """One sheet."""
        return save_cables(boat=self.boat, cables=self.cables.rows(), seen=seen)


class Bone(Section):
    """The NMEA 2000 backbone."""

    key, title, word = "backbone", "NMEA 2000 backbone", "the backbone"
    hint = (
        "One row a tee, in order from end to end, with the cable from the one before, what hangs "
        "on it, and where power comes in. Both ends carry a terminator."
    )

    def build(self) -> None:
        """The backbone's own facts, then its tees."""
        self.row = self._chosen()
        self.form = BackboneForm(self.data, boat=self.boat, row=self.row)
        self.tees = tee_sheet(self.boat, self.row, self.data)
        self.sheets = [("Tees in order", self.tees, "Add a tee")]

    def _chosen(self) -> Backbone | None:
        rows = list(self.boat.backbones.all())
        asked = self.request.GET.get("bone", "")
        self.bones = rows
        if asked == "new":
            return None
        return next((row for row in rows if str(row.pk) == asked), rows[0] if rows else None)

    def save(self, seen: Seen) -> int:
        """The backbone with its tees."""
        _, kept = save_backbone(
            boat=self.boat,
            backbone=self.row,
            values=self.form.cleaned_data,
            changed=frozenset(self.form.fields if self.row is None else self.form.changed_data),
            tees=self.tees.tees(),
            seen=seen,
        )
        return kept


SECTIONS = {section.key: section for section in (Places, Banks, Units, Cables, Bone)}
