"""The form of wishes: rows filled by keyboard, and what may be planned with."""

from typing import Any

from django import forms
from django.forms import BaseFormSet, formset_factory

from planner.picks import ANY, OR
from shopapp.boats.models import Boat, Location, Unit
from shopapp.catalog.models import EquipmentModel, Kind
from shopapp.ui.forms import DeskForm, PickField

JsonDict = dict[str, Any]
KINDS = [
    ("", "—"),
    ("add", "Add"),
    ("replace", "Replace"),
    ("network", "Put on the network"),
    ("keep", "Keep"),
    ("remove", "Take out"),
]
CLASHES = {
    frozenset({"keep", "remove"}): "{0} is both kept and taken out. Keep one of the two wishes.",
    frozenset({"keep", "replace"}): "{0} is both kept and replaced. Keep one of the two wishes.",
    frozenset({"replace", "remove"}): "{0} is both replaced and taken out. Keep one of the two.",
    frozenset({"network", "remove"}): "{0} cannot be on the network once it is taken out.",
}
MOST_ROWS = 40
MOST_SWITCHES = 9


class WishForm(DeskForm):
    """One wish; which of the fields count depends on its kind."""

    kind = forms.ChoiceField(label="Wish", choices=KINDS, required=False)
    unit = forms.ChoiceField(label="Unit aboard", required=False)
    model = PickField("wished-models", label="Model, or any that fits", required=False)
    location = forms.ChoiceField(label="At", required=False)
    networked = forms.BooleanField(label="On the network", required=False, initial=True)

    def __init__(
        self, *args: Any, units: dict[str, Unit], places: list[str], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.units = units
        self.fields["unit"].choices = [("", "—")] + [
            (name, f"{name} · {unit.model.name}, {unit.location.name}")
            for name, unit in units.items()
        ]
        self.fields["location"].choices = [("", "—")] + [(name, name) for name in places]

    def has_changed(self) -> bool:
        """A row counts once a wish is chosen or anything but its tick is filled."""
        return bool(set(self.changed_data) - {"networked"})

    def clean(self) -> JsonDict:
        """What this kind of wish needs is there."""
        data = super().clean()
        kind = data.get("kind")
        if not kind:
            if self.has_changed():
                self.add_error("kind", "Choose what is wished.")
            return data
        if kind == "add":
            self._must("model", "Pick a model, or any that fits.")
            self._must("location", "Choose where it goes.")
        else:
            self._must("unit", "Choose the unit aboard.")
        if kind == "replace":
            self._must("model", "Pick the model that comes in its place, or any that fits.")
            self._not_itself(data)
        return data

    def _must(self, name: str, words: str) -> None:
        if not self.cleaned_data.get(name) and name not in self.errors:
            self.add_error(name, words)

    def _not_itself(self, data: JsonDict) -> None:
        unit = self.units.get(data.get("unit", ""))
        if unit is not None and data.get("model") == unit.model.code:
            self.add_error("model", f"{unit.name} is a {unit.model.name} already.")

    @property
    def wish(self) -> JsonDict:
        """The wish as it is kept, without its id."""
        data = self.cleaned_data
        kind = data["kind"]
        model = data.get("model") or ""
        picked: JsonDict = {"models": model.split(OR) if model else []}
        if model.startswith(ANY):
            picked = {"models": [], "kind_wanted": model.removeprefix(ANY)}
        if kind == "add":
            place = {"location": data["location"], "networked": data["networked"]}
            return {"kind": kind, **picked, **place}
        if kind == "replace":
            return {"kind": kind, "device": data["unit"], **picked}
        return {"kind": kind, "device": data["unit"]}


class WishRows(BaseFormSet):
    """All wishes; two that contradict each other are told beside the later one."""

    def clean(self) -> None:
        """Look at the wishes of each unit together."""
        if any(self.errors):
            return
        said: dict[str, set[str]] = {}
        for form in self.wished:
            name, kind = form.cleaned_data.get("unit"), form.cleaned_data["kind"]
            if not name or kind == "add":
                continue
            words = _clash(name, kind, said.setdefault(name, set()))
            if words:
                form.add_error("unit", words)
            said[name].add(kind)

    def is_valid(self) -> bool:
        """Also false where a clash was found between rows."""
        return super().is_valid() and not any(form.errors for form in self.wished)

    @property
    def wished(self) -> list[WishForm]:
        """The rows that hold a wish and are not struck out."""
        return [
            form
            for form in self.forms
            if form.has_changed() and form.cleaned_data and not form.cleaned_data.get("DELETE")
        ]


def _clash(name: str, kind: str, earlier: set[str]) -> str:
    if kind in earlier:
        return f"{name} has this wish already."
    for other in earlier:
        words = CLASHES.get(frozenset({kind, other}))
        if words:
            return words.format(name)
    return ""


WishFormSet = formset_factory(
    WishForm,
    formset=WishRows,
    extra=2,
    max_num=MOST_ROWS,
    validate_max=True,
    absolute_max=MOST_ROWS + 10,
    can_delete=True,
)


class SwitchForm(DeskForm):
    """Which switches may be planned with, where, and how many new ones."""

    models = forms.MultipleChoiceField(
        label="Switches that may be used",
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    locations = forms.MultipleChoiceField(
        label="Places for a new switch", required=False, widget=forms.CheckboxSelectMultiple
    )
    max_new = forms.IntegerField(
        label="Most new switches", min_value=0, max_value=MOST_SWITCHES, initial=2
    )

    def __init__(self, *args: Any, boat: Boat, places: list[Location], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        switches = sold_switches(boat)
        self.fields["models"].choices = switches
        self.fields["locations"].choices = [(place.name, place.name) for place in places]
        self.initial.setdefault("models", [code for code, _ in switches])
        self.initial.setdefault("locations", [place.name for place in places if place.switch_place])

    @property
    def switches(self) -> JsonDict:
        """What is kept with the wishes."""
        return {name: self.cleaned_data[name] for name in ("models", "locations", "max_new")}


def sold_switches(boat: Boat) -> list[tuple[str, str]]:
    """Code and name of every switch that can be bought."""
    rows = EquipmentModel.objects.of(boat.shop_id).current()
    sold = rows.filter(
        kind=Kind.SWITCH,
        part__price_cents__isnull=False,
        part__retired_at__isnull=True,
        lifecycle__in=[EquipmentModel.Lifecycle.CURRENT, EquipmentModel.Lifecycle.LAST_ORDERS],
    )
    return [(row.code, row.name) for row in sold.order_by("name")]


def initial_rows(wishes: JsonDict) -> list[JsonDict]:
    """The rows of wishes that were kept, to be changed."""
    return [
        {
            "kind": wish["kind"],
            "unit": wish.get("device") or "",
            "model": _picked(wish),
            "location": wish.get("location") or "",
            "networked": wish.get("networked", True),
        }
        for wish in wishes.get("requests", [])
    ]


def _picked(wish: JsonDict) -> str:
    if wish.get("models"):
        return OR.join(wish["models"])
    return f"{ANY}{wish['kind_wanted']}" if wish.get("kind_wanted") else ""
