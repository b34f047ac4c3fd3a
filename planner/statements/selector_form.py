"""The part of a statement's form that says which units a rule speaks of."""

from typing import Any

from django import forms
from django.forms import BaseFormSet, formset_factory
from django.http import HttpRequest

from planner.statements.checks import Fault
from shopapp.accounts.models import Shop
from shopapp.catalog.models import EquipmentModel, Kind
from shopapp.ui.forms import DeskForm, PickField

ANY, NAMED = "any", "named"


class ModelRow(DeskForm):
    """A model of a selector, from a release on."""

    model = PickField("models", label="Model")
    release = PickField("releases", label="From release on", free=True, required=False)

    def has_changed(self) -> bool:
        """Whether a model or a release was typed."""
        return bool(self.changed_data)


class SelectorForm(DeskForm):
    """Which units a part of the rule speaks of."""

    kinds = forms.MultipleChoiceField(
        label="Kinds",
        choices=Kind.choices,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: every kind.",
    )
    scope = forms.ChoiceField(
        label="Models",
        choices=[(ANY, "Every model of these kinds"), (NAMED, "Only the models listed below")],
        widget=forms.RadioSelect,
        required=False,
        initial=ANY,
        help_text="With every model, list one only to say from which release on it counts.",
    )

    def clean_scope(self) -> str:
        """Every model, unless said otherwise."""
        return self.cleaned_data["scope"] or ANY


RowSheet = formset_factory(ModelRow, extra=1, can_delete=True, max_num=60, validate_max=True)


class SelectorPart:
    """A selector of the form: its ticks and its sheet of models."""

    def __init__(self, request: HttpRequest, key: str, initial: dict[str, Any] | None) -> None:
        data = request.POST if request.method == "POST" else None
        self.key = key
        self.form = SelectorForm(data, prefix=key, initial=_ticks(initial))
        rows = _initial_rows(request.user.shop, initial) if data is None and initial else None
        self.sheet: BaseFormSet = RowSheet(
            data, prefix=f"{key}-models", initial=rows, form_kwargs={"request": request}
        )

    def is_valid(self) -> bool:
        """Check ticks, rows, and that each row says something."""
        valid = [self.form.is_valid(), self.sheet.is_valid()]
        if not all(valid):
            return False
        named = self.form.cleaned_data["scope"] == NAMED
        rows = self.rows()
        if named and not rows:
            self.form.add_error("scope", "List the models below, or choose every model.")
        for row in rows:
            if not named and not row.cleaned_data["release"]:
                words = "Write from which release on, or choose only the models listed."
                row.add_error("release", words)
        return not self.form.errors and not any(row.errors for row in rows)

    def rows(self) -> list[ModelRow]:
        """The rows that are filled and not struck."""
        filled = [row for row in self.sheet.forms if getattr(row, "cleaned_data", None)]
        return [row for row in filled if not row.cleaned_data.get("DELETE")]

    def selector(self) -> dict[str, Any]:
        """The selector as rules have it; only the keys that say something."""
        facts = self.form.cleaned_data
        rows = [
            (row.cleaned_data["model"].code, row.cleaned_data["release"]) for row in self.rows()
        ]
        least = {code: release for code, release in rows if release}
        found: dict[str, Any] = {}
        if facts["kinds"]:
            found["kinds"] = facts["kinds"]
        if facts["scope"] == NAMED:
            found["models"] = list(dict.fromkeys(code for code, _ in rows))
        if least:
            found["min_release"] = least
        return found

    def refuse(self, fault: Fault) -> None:
        """Put a fault beside the cell that it speaks of."""
        field = "release" if fault.about_release else "model"
        for row in self.rows():
            if row.cleaned_data.get("model") and row.cleaned_data["model"].code == fault.model:
                row.add_error(field, fault.message)
                return
        self.form.add_error("kinds", fault.message)


def _ticks(selector: dict[str, Any] | None) -> dict[str, Any]:
    selector = selector or {}
    scope = NAMED if "models" in selector else ANY
    return {"kinds": selector.get("kinds", []), "scope": scope}


def _initial_rows(shop: Shop, selector: dict[str, Any]) -> list[dict[str, Any]]:
    least = selector.get("min_release") or {}
    codes = list(dict.fromkeys([*selector.get("models", []), *least]))
    by_code = {m.code: m for m in EquipmentModel.objects.of(shop).filter(code__in=codes)}
    return [
        {"model": by_code[code], "release": least.get(code, "")}
        for code in codes
        if code in by_code
    ]
