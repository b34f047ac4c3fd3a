"""The keyboard sheets of a model: releases, updates, port lights, successors.

Rows name releases by their text, so that a release typed above can be used below
before anything is saved; a release that the model never had is refused beside its cell.
"""

from collections.abc import Callable
from operator import itemgetter
from typing import Any

from django import forms
from django.forms import BaseFormSet, formset_factory

from shopapp.catalog.models import EquipmentModel, Kind, PortLight, Update
from shopapp.ui.forms import DeskForm, PickField

MOST_ROWS = 80


class RowForm(DeskForm):
    """One row; `filled_by` are the fields that make it count."""

    filled_by = ("name",)

    def is_blank(self) -> bool:
        """Whether nothing that counts was typed."""
        return not any(self.cleaned_data.get(name) for name in self.filled_by)

    def has_changed(self) -> bool:
        """Whether anything that counts was typed; a choice left standing does not count."""
        return any(name in self.changed_data for name in self.filled_by)


class ReleaseRow(RowForm):
    """A firmware release; `pk` is its record, `place` moves it between others."""

    pk = forms.IntegerField(required=False, widget=forms.HiddenInput)
    name = forms.CharField(label="Release", max_length=40)
    place = forms.DecimalField(
        label="Place", required=False, min_value=0, max_value=999, max_digits=6, decimal_places=2
    )
    ships = forms.BooleanField(label="New ones ship with it", required=False)
    withdrawn = forms.BooleanField(label="Withdrawn", required=False)
    no_return = forms.BooleanField(label="No way back", required=False)
    released_on = forms.DateField(label="Released", required=False)
    note = forms.CharField(label="Note", max_length=300, required=False)


def _one_of_the_releases() -> forms.TextInput:
    return forms.TextInput({"list": "release-names", "autocomplete": "off"})


class UpdateRow(RowForm):
    """One update that exists."""

    filled_by = ("from_name", "to_name", "minutes")

    from_name = forms.CharField(label="From", max_length=40, widget=_one_of_the_releases())
    to_name = forms.CharField(label="To", max_length=40, widget=_one_of_the_releases())
    minutes = forms.IntegerField(label="Minutes", min_value=0, max_value=1440)
    means = forms.ChoiceField(label="By", choices=Update.Means.choices)
    note = forms.CharField(label="Note", max_length=300, required=False)


class LightRow(RowForm):
    """What a port's light means."""

    filled_by = ("colour", "meaning")

    colour = forms.CharField(label="Colour", max_length=20, required=False)
    pattern = forms.ChoiceField(label="Light is", choices=PortLight.Pattern.choices)
    meaning = forms.CharField(label="Means", max_length=160)
    is_fault = forms.BooleanField(label="A fault", required=False)


class SuccessorRow(RowForm):
    """A model that the shop may propose in place of this one."""

    filled_by = ("model",)

    model = PickField("models", label="Model")


class Sheet(BaseFormSet):
    """Rows of one model; `rows()` are those that are filled and not struck."""

    def kept(self) -> list[forms.Form]:
        """The forms that stay: filled, right, not struck."""
        return [
            form
            for form in self.forms
            if getattr(form, "cleaned_data", None)
            and not form.cleaned_data.get("DELETE")
            and not form.is_blank()
        ]

    def rows(self) -> list[dict[str, Any]]:
        """The cleaned values of the rows that stay, in order."""
        return [form.cleaned_data for form in self.kept()]

    def struck_pks(self) -> set[int]:
        """Records whose rows were struck out."""
        cleaned = [getattr(form, "cleaned_data", {}) for form in self.forms]
        return {facts["pk"] for facts in cleaned if facts.get("DELETE") and facts.get("pk")}


def _sheet(row: type[forms.Form], *, extra: int) -> type[Sheet]:
    return formset_factory(
        row, formset=Sheet, extra=extra, can_delete=True, max_num=MOST_ROWS, validate_max=True
    )


class ModelSheets:
    """All sheets of a model together: as sent, or filled from the model or one `like` it."""

    def __init__(
        self, request: Any, *, model: EquipmentModel, like: EquipmentModel | None = None
    ) -> None:
        data = request.POST if request.method == "POST" else None
        self.model = model
        filled = {} if data is not None else initial_rows(like or model, copied=like is not None)

        def make(name: str, row: type[forms.Form]) -> Sheet:
            rows = filled.get(name, [])
            extra = 0 if rows else 1
            return _sheet(row, extra=extra)(
                data, prefix=name, initial=rows or None, form_kwargs={"request": request}
            )

        self.releases = make("releases", ReleaseRow)
        self.updates = make("updates", UpdateRow)
        self.lights = make("lights", LightRow)
        self.successors = make("successors", SuccessorRow)

    def all(self) -> list[Sheet]:
        """The sheets in the page's order."""
        return [self.releases, self.updates, self.lights, self.successors]

    def is_valid(self, *, kind: str, in_use: dict[str, str], named: dict[str, str]) -> bool:
        """Check each row, then rows against each other.

        `in_use` maps a release's name to the reason why it cannot be struck, `named` to
        the reason why it can be neither struck nor renamed.
        """
        valid = [sheet.is_valid() for sheet in self.all()]  # all of them, so that all errors show
        if not all(valid):
            return False
        self.refused = False
        self._check_releases()
        self._check_busy(in_use | named, named)
        self._check_updates()
        self._check_lights()
        self._check_successors(kind)
        return not self.refused

    def _refuse(self, form: forms.Form, field: str, words: str) -> None:
        self.refused = True
        form.add_error(field, words)

    def _refuse_twice(
        self, kept: list[forms.Form], field: str, key: Callable[[dict], Any], words: str
    ) -> None:
        seen = set()
        for form in kept:
            value = key(form.cleaned_data)
            if value in seen and field not in form.errors:
                self._refuse(form, field, words)
            seen.add(value)

    def _check_releases(self) -> None:
        kept = self.releases.kept()
        shipping = [form for form in kept if form.cleaned_data["ships"]]
        if kept and not shipping:
            self._refuse(kept[-1], "ships", "Tick the one release that a new unit carries.")
        for form in shipping[1:]:
            self._refuse(form, "ships", "Only one release is the one that a new unit carries.")
        for form in shipping:
            if form.cleaned_data["withdrawn"]:
                words = "A new unit cannot ship with a withdrawn release."
                self._refuse(form, "withdrawn", words)
        words = "This release stands above."
        self._refuse_twice(kept, "name", itemgetter("name"), words)

    def _check_busy(self, in_use: dict[str, str], named: dict[str, str]) -> None:
        before = dict(self.model.releases.values_list("pk", "name")) if self.model.pk else {}
        struck = self.releases.struck_pks()
        for form in self.releases.forms:
            pk = form.cleaned_data.get("pk")
            old = before.get(pk, "")
            if pk in struck and old in in_use:
                self._refuse(form, "name", f"{old} stays: {in_use[old]}.")
            elif old in named and form.cleaned_data.get("name") != old:
                self._refuse(form, "name", f"{old} keeps its name: {named[old]}.")

    def _check_updates(self) -> None:
        names = {facts["name"] for facts in self.releases.rows()}
        kept = self.updates.kept()
        for form in kept:
            ends = [form.cleaned_data[key] for key in ("from_name", "to_name")]
            for key, name in zip(("from_name", "to_name"), ends, strict=True):
                if name not in names:
                    words = f"This model never had {name}: add it above, or mend this."
                    self._refuse(form, key, words)
            if ends[0] == ends[1]:
                words = "An update goes from one release to another."
                self._refuse(form, "to_name", words)
        pair = itemgetter("from_name", "to_name")
        self._refuse_twice(_right(kept), "to_name", pair, "This update stands above.")

    def _check_lights(self) -> None:
        kept = self.lights.kept()
        for form in kept:
            facts = form.cleaned_data
            if facts["pattern"] != PortLight.Pattern.DARK and not facts["colour"]:
                self._refuse(form, "colour", "Which colour? Only a dark light has none.")
        words = "This light stands above; one light has one meaning."
        self._refuse_twice(
            _right(kept), "colour", lambda row: (row["colour"].casefold(), row["pattern"]), words
        )

    def _check_successors(self, kind: str) -> None:
        kept = self.successors.kept()
        for form in kept:
            other = form.cleaned_data["model"]
            if other.pk == self.model.pk:
                self._refuse(form, "model", "A model is not its own successor.")
            elif (other.kind == Kind.SWITCH) != (kind == Kind.SWITCH):
                words = "Switches are followed by switches, other kinds never by a switch."
                self._refuse(form, "model", words)
        self._refuse_twice(_right(kept), "model", itemgetter("model"), "This model stands above.")


def _right(kept: list[forms.Form]) -> list[forms.Form]:
    return [form for form in kept if not form.errors]


def initial_rows(model: EquipmentModel, *, copied: bool) -> dict[str, list[dict[str, Any]]]:
    """What stands in the sheets of a saved model; `copied` leaves the records' numbers out."""
    if not model.pk:
        return {}

    releases = [
        {
            "pk": None if copied else r.pk, "name": r.name, "place": r.rank,
            "ships": r.pk == model.ships_with_id, "withdrawn": r.withdrawn,
            "no_return": r.no_return, "released_on": r.released_on, "note": r.note,
        }
        for r in model.releases.all()
    ]  # fmt: skip
    updates = [
        {
            "from_name": u.from_release.name, "to_name": u.to_release.name,
            "minutes": u.minutes, "means": u.means, "note": u.note,
        }
        for u in model.updates.select_related("from_release", "to_release")
    ]  # fmt: skip
    lights = list(model.lights.values("colour", "pattern", "meaning", "is_fault"))
    successors = [{"model": other} for other in model.successors.all()]
    return {
        "releases": releases,
        "updates": updates,
        "lights": lights,
        "successors": successors,
    }
