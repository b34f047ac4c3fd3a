"""The sheet of units, and the form of one unit."""

from collections.abc import Iterable
from typing import Any

from django import forms

from shopapp.boats.forms.cells import OneOf, ThousandthField, YesNoField
from shopapp.boats.forms.sheets import BaseSheet, Known, RowForm, sheet_of
from shopapp.boats.models import Bank, Boat, Location, Unit
from shopapp.boats.models.units import GAUGES, INSULATIONS_C
from shopapp.boats.services.units import next_name
from shopapp.catalog.models import EquipmentModel, Release
from shopapp.ui.forms import FigureInput, PickField

NO_PLACE = "Choose a location of this boat; enter it under Locations first."


FEED_FACTS = (
    "wire_awg", "wire_run_ft", "wire_insulation_c", "wire_engine_space", "fuse_inches",
    "wire_sheathed",
)  # fmt: skip


def known_units(units: Iterable[Unit]) -> dict[int, dict[str, Any]]:
    """Units on record as a sheet's rows."""
    return {unit.pk: unit_values(unit) for unit in units}


def unit_values(unit: Unit) -> dict[str, Any]:
    """One unit as a sheet's row."""
    return {
        "pk": unit.pk,
        "name": unit.name,
        "model": unit.model,
        "location": str(unit.location_id),
        "release": unit.release.name if unit.release else "",
        "networked": unit.networked,
        "adapters": unit.adapters,
        "bank": str(unit.bank_id or ""),
        "fuse_ma": unit.fuse_ma,
        "fuse_place": unit.fuse_place,
        "cutoff": unit.cutoff,
        "wire": unit.wire,
        **{name: getattr(unit, name) for name in FEED_FACTS},
        "serial": unit.serial,
        "note": unit.note,
    }


class Choices:
    """What a boat's units may point to, fetched once for the whole sheet."""

    def __init__(self, boat: Boat) -> None:
        self.locations = list(boat.locations.all())
        self.banks = list(boat.banks.filter(retired_at__isnull=True))

    def lay(self, form: forms.Form) -> None:
        """Fill a row's lists."""
        form.fields["location"].lay(("", _options(self.locations)))
        form.fields["bank"].lay(("", _options(self.banks)))


def _options(rows: Iterable[Location | Bank]) -> list[tuple[str, str, Any]]:
    return [(str(row.pk), row.name, row) for row in rows]


class UnitForm(RowForm):
    """A row of the sheet of units."""

    name = forms.SlugField(
        label="Name",
        required=False,
        max_length=40,
        widget=forms.TextInput(
            {"data-no-copy": "", "placeholder": "auto", "class": "short", "autocomplete": "off"}
        ),
        error_messages={"invalid": "Letters, figures, - and _ only, as on a label: d1."},
    )
    model = PickField("models")
    location = OneOf(gone=NO_PLACE)
    release = forms.CharField(
        required=False,
        max_length=40,
        widget=forms.TextInput({"data-releases": "", "class": "short", "autocomplete": "off"}),
    )
    networked = YesNoField(label="Ethernet")
    adapters = forms.IntegerField(
        label="Adapters", required=False, min_value=0, max_value=20,
        widget=FigureInput({"inputmode": "numeric", "class": "figure"}),
    )  # fmt: skip
    fuse_ma = ThousandthField(label="Fuse (A)", max_value=1000)
    cutoff = forms.CharField(label="Cut-off", required=False, max_length=80)
    bank = OneOf(
        label="Fed from", required=False, blank="not known",
        gone="Choose a bank of this boat; enter it under Banks first.",
    )  # fmt: skip
    serial = forms.CharField(
        required=False, max_length=60,
        widget=forms.TextInput({"data-no-copy": "", "class": "serial", "autocomplete": "off"}),
    )  # fmt: skip

    def __init__(self, *args: Any, choices: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices.lay(self)
        model = self.initial.get("model")
        if model is not None:
            _remember(self.fields["model"].widget, model)

    def clean_adapters(self) -> int:
        """Empty counts as none: an adapter is seen or it is not there."""
        return self.cleaned_data["adapters"] or 0

    def clean(self) -> dict[str, Any]:
        """The release must be one that the model had."""
        facts = super().clean()
        model, text = facts.get("model"), facts.get("release")
        facts["release"] = self._release(model, text) if model and text else None
        return facts

    def _release(self, model: EquipmentModel, text: str) -> Release | None:
        releases = self.releases_of(model)
        found = [release for release in releases if release.name.casefold() == text.casefold()]
        if found:
            return found[0]
        names = ", ".join(release.name for release in releases)
        words = f"It had {names}." if names else "It has no firmware on record; leave this empty."
        self.add_error("release", f"{model} never had release {text}. {words}")
        return None

    def releases_of(self, model: EquipmentModel) -> list[Release]:
        """The model's releases, oldest first; a sheet fetches them all at once."""
        return list(model.releases.all())

    def changed(self) -> frozenset[str]:
        """Another model makes what was known of the release void: it is stated anew."""
        names = super().changed()
        return names | {"release"} if self.initial and "model" in names else names


def _remember(widget: forms.Widget, model: EquipmentModel) -> None:
    # The label of a model on record is at hand: no question to the database for each row.
    ask = widget.label_for
    known = {str(model.pk): model.name}
    widget.label_for = lambda value: known.get(str(value)) or ask(value)


class UnitRows(BaseSheet):
    """The sheet of units."""

    def clean(self) -> None:
        """Names once aboard; rows without one get the next free."""
        taken = {form.cleaned_data.get("name") for form in self.kept} - {None, ""}
        for form in self.kept:
            model = form.cleaned_data.get("model")
            if not form.cleaned_data.get("name") and model and "name" not in form.errors:
                form.cleaned_data["name"] = next_name(kind=model.kind, taken=taken)
                taken.add(form.cleaned_data["name"])
        self.say_once("name", "Another unit of this sheet has this short name.")


def unit_sheet(boat: Boat, data: Any, request: Any) -> UnitRows:
    """The sheet of the boat's units aboard and on the bench."""
    gone = [Unit.State.REMOVED, Unit.State.STOLEN]
    known = known_units(boat.units.exclude(state__in=gone).for_sheet())
    return sheet_of(
        UnitForm, UnitRows, prefix="units", data=data, known=known,
        choices=Choices(boat), request=request,
    )  # fmt: skip


class OneUnitForm(UnitForm):
    """All values of one unit."""

    fuse_place = forms.CharField(label="Fuse place", required=False, max_length=80)
    wire = forms.CharField(label="Wire, in words", required=False, max_length=80)
    wire_awg = forms.ChoiceField(
        label="Wire gauge (AWG)", required=False,
        choices=[("", "not known"), *((awg, awg) for awg in GAUGES)],
    )  # fmt: skip
    wire_run_ft = forms.IntegerField(
        label="Wire, one way (ft)", required=False, min_value=1, max_value=1000,
        help_text="From the source to the unit; the way back is added by the checks.",
    )  # fmt: skip
    wire_insulation_c = forms.TypedChoiceField(
        label="Insulation of the wire", required=False, coerce=int, empty_value=None,
        choices=[("", "not known"), *((c, f"{c} °C") for c in INSULATIONS_C)],
    )  # fmt: skip
    wire_engine_space = YesNoField(label="Wire through an engine space")
    fuse_inches = forms.IntegerField(
        label="From the source to the fuse (in)", required=False, min_value=0, max_value=2000
    )
    wire_sheathed = YesNoField(label="Wire in a sheath or enclosure all the way")
    note = forms.CharField(required=False, widget=forms.Textarea({"rows": 3}))

    def clean_name(self) -> str:
        """A unit on record keeps a name, once aboard."""
        name = self.cleaned_data["name"] or self.initial["name"]
        others = Unit.objects.filter(boat=self.boat, name=name).exclude(pk=self.initial["pk"])
        if others.exclude(state__in=[Unit.State.REMOVED, Unit.State.STOLEN]).exists():
            raise forms.ValidationError("Another unit aboard has this short name.")
        return name

    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The fields under their headings."""
        groups = [
            ("What it is", ["name", "model", "serial", "release"]),
            ("Where, and on the network or not", ["location", "networked", "adapters"]),
            ("How it is fed", ["bank", "fuse_ma", "fuse_place", "cutoff", "wire", *FEED_FACTS]),
            ("Note", ["note"]),
        ]
        return [(title, [self[name] for name in names]) for title, names in groups]


def one_unit_form(unit: Unit, data: Any, request: Any) -> OneUnitForm:
    """The form of one unit on record."""
    known: Known = known_units([unit])
    form = OneUnitForm(
        data, initial=known[unit.pk], known=known, choices=Choices(unit.boat), request=request
    )
    form.boat = unit.boat
    return form


class StateForm(forms.Form):
    """What became of a unit."""

    state = forms.ChoiceField(choices=Unit.State.choices)
