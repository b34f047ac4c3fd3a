"""The form of a verdict: rows of models at releases, and the switch that they are behind."""

from typing import Any

from django import forms
from django.forms import BaseFormSet, formset_factory
from django.http import HttpRequest

from planner.reasons.asking import MOST_UNITS, Asked, AskedUnit
from shopapp.catalog.models import EquipmentModel, Kind
from shopapp.ui.forms import DeskForm, PickField

EMPTY_ROWS = 2
NOT_OF_MODEL = "{0} never had {1}. Leave this empty where the release is not known."


def _known_release(form: DeskForm, model: EquipmentModel | None, release: str) -> None:
    """Put beside the field what the model never had."""
    if model and release and not model.releases.filter(name=release).exists():
        form.add_error("release", NOT_OF_MODEL.format(model.name, release))


class UnitRow(DeskForm):
    """So many units of a model at a release."""

    model = PickField("models", label="Model")
    release = PickField(
        "releases", label="Release", free=True, required=False, help_text="Empty: not known"
    )
    count = forms.IntegerField(label="How many", min_value=1, max_value=MOST_UNITS, initial=1)

    def has_changed(self) -> bool:
        """A row counts once a model or a release is typed."""
        return bool(set(self.changed_data) - {"count"})

    def clean(self) -> dict[str, Any]:
        """The model had that release."""
        facts = super().clean()
        _known_release(self, facts.get("model"), facts.get("release", ""))
        return facts

    @property
    def units(self) -> list[AskedUnit]:
        """The units of this row."""
        facts = self.cleaned_data
        return [AskedUnit(facts["model"].code, facts["release"])] * facts["count"]


class UnitRowSet(BaseFormSet):
    """All rows together."""

    def clean(self) -> None:
        """Not too many for one network of a boat."""
        if not any(self.errors) and len(self.units) > MOST_UNITS:
            raise forms.ValidationError(f"At most {MOST_UNITS} units are judged at once.")

    @property
    def units(self) -> list[AskedUnit]:
        """The units of every row that is filled and not struck out."""
        return [
            unit
            for form in self.forms
            if form.has_changed() and form.cleaned_data and not form.cleaned_data.get("DELETE")
            for unit in form.units
        ]


UnitSheet = formset_factory(
    UnitRow,
    formset=UnitRowSet,
    extra=EMPTY_ROWS,
    max_num=MOST_UNITS,
    validate_max=True,
    absolute_max=MOST_UNITS + 5,
    can_delete=True,
)


class BehindForm(DeskForm):
    """Which switch the units are behind; none: cabled directly."""

    model = forms.ChoiceField(label="Behind which switch", required=False)
    release = PickField(
        "releases",
        label="The switch's release",
        free=True,
        required=False,
        help_text="Leave empty where it has none, or where it is not known.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        switches = EquipmentModel.objects.of(self.request.user.shop_id).filter(kind=Kind.SWITCH)
        rows = switches.order_by("name").values_list("code", "name")
        self.fields["model"].choices = [("", "none: cabled directly"), *rows]

    def clean(self) -> dict[str, Any]:
        """A release needs its switch, and the switch had it."""
        facts = super().clean()
        release = facts.get("release", "")
        if release and not facts.get("model"):
            self.add_error("model", "Choose the switch that this release is of.")
        elif release:
            rows = EquipmentModel.objects.of(self.request.user.shop_id)
            _known_release(self, rows.filter(code=facts["model"]).first(), release)
        return facts

    @property
    def units(self) -> list[AskedUnit]:
        """The switch, where one is chosen."""
        facts = self.cleaned_data
        return [AskedUnit(facts["model"], facts["release"])] if facts["model"] else []


def verdict_forms(
    request: HttpRequest, asked: Asked, keys: dict[str, int]
) -> tuple[BaseFormSet, BehindForm]:
    """The rows and the switch, filled from an address or from what was sent."""
    data = request.POST if request.method == "POST" else None
    rows = UnitSheet(
        data,
        prefix="unit",
        initial=[
            {"model": keys[unit.model], "release": unit.release, "count": count}
            for unit, count in _counted(asked)
            if unit.model in keys
        ],
        form_kwargs={"request": request},
    )
    first = asked.behind[0] if asked.behind else AskedUnit("")
    initial = {"model": first.model, "release": first.release}
    return rows, BehindForm(data, prefix="behind", initial=initial, request=request)


def _counted(asked: Asked) -> list[tuple[AskedUnit, int]]:
    units = asked.units + asked.behind[1:]
    return [(unit, units.count(unit)) for unit in dict.fromkeys(units)]
