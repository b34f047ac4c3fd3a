"""The form of a "what if?": one row a pin, filled by keyboard, from what the plan's case knows."""

from typing import Any

from django import forms
from django.forms import BaseFormSet, formset_factory

from planner.pins import pin_id, unit_words
from planner.plans import device_of, model_name
from shopapp.errors import FactRefused
from shopapp.ui.forms import DeskForm

JsonDict = dict[str, Any]
KINDS = [
    ("", "—"),
    ("stay", "Unit stays"),
    ("replace", "Unit is replaced"),
    ("not_replace", "Unit is not replaced"),
    ("remove", "Unit comes out"),
    ("on", "Unit is on the network"),
    ("off", "Unit is off the network"),
    ("release", "Unit ends at a release"),
    ("not_release", "Unit ends at another release"),
    ("model", "New unit is this model"),
    ("not_model", "New unit is another model"),
    ("forbid", "Model is not bought"),
    ("switch", "A switch stands here"),
    ("no_switch", "No switch stands here"),
    ("count", "Most new switches"),
]
# Which fields each kind of pin needs.
NEEDS = {
    "stay": ("unit",),
    "replace": ("unit",),
    "not_replace": ("unit",),
    "remove": ("unit",),
    "on": ("unit",),
    "off": ("unit",),
    "release": ("unit", "release"),
    "not_release": ("unit", "release"),
    "model": ("unit", "model"),
    "not_model": ("unit", "model"),
    "forbid": ("model",),
    "switch": ("location",),
    "no_switch": ("location",),
    "count": ("count",),
}
ASK = {
    "unit": "Choose the unit.",
    "model": "Choose the model.",
    "location": "Choose the place.",
    "release": "Choose the release.",
    "count": "Write how many; 0 for none.",
}
NOT = {"not_replace": "replace", "not_release": "release", "not_model": "model"}
FATES = {"stay": "stays", "replace": "replaced", "remove": "removed"}
MOST_PINS = 12
MOST_SWITCHES = 9


class PinForm(DeskForm):
    """One pin; which of the fields count depends on its kind."""

    kind = forms.ChoiceField(label="What if", choices=KINDS, required=False)
    unit = forms.ChoiceField(label="Unit", required=False)
    model = forms.ChoiceField(label="Model", required=False)
    release = forms.ChoiceField(label="Release", required=False)
    location = forms.ChoiceField(label="Place", required=False)
    count = forms.IntegerField(label="Number", required=False, min_value=0, max_value=MOST_SWITCHES)

    def __init__(self, *args: Any, case: JsonDict, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.case = case
        for name, choices in pin_choices(case).items():
            self.fields[name].choices = [("", "—"), *choices]

    def clean(self) -> JsonDict:
        """What this kind of pin needs is there and fits."""
        facts = super().clean()
        kind = facts.get("kind")
        if not kind:
            if self.has_changed():
                self.add_error("kind", "Choose what is held fast.")
            return facts
        for name in NEEDS[kind]:
            if facts.get(name) in {None, ""} and name not in self.errors:
                self.add_error(name, ASK[name])
        if not self.errors:
            _check_fit(self, kind, facts)
        return facts

    @property
    def pin(self) -> JsonDict:
        """The pin as the planner reads it."""
        facts = self.cleaned_data
        kind = facts["kind"]
        if kind == "forbid":
            return {"pin": "forbid_model", "model": facts["model"]}
        if kind == "count":
            return {"pin": "new_switches", "at_most": facts["count"]}
        if kind in {"switch", "no_switch"}:
            place = {"location": facts["location"], "model": facts["model"] or None}
            return {"pin": "switch", **place, "present": kind == "switch"}
        return {"pin": "unit", "unit": facts["unit"], **_of_unit(self.case, kind, facts)}


def _of_unit(case: JsonDict, kind: str, facts: JsonDict) -> JsonDict:
    if kind in NOT:
        return _of_unit(case, NOT[kind], facts) | {"not": True}
    if kind in {"on", "off"}:
        if _is_switch(case, facts["unit"]):
            return {"networked": True} if kind == "on" else {"fate": "disconnected"}
        return {"networked": kind == "on"}
    if kind == "release":
        return {"release": facts["release"]}
    if kind == "model":
        return {"model": facts["model"]}
    model = {"model": facts["model"]} if facts["model"] and kind == "replace" else {}
    return {"fate": FATES[kind], **model}


def _is_switch(case: JsonDict, name: str) -> bool:
    device = device_of(case, name)
    return device is not None and _kind(case, device["model"]) == "switch"


def _kind(case: JsonDict, code: str) -> str:
    return case["catalogue"]["models"][code]["kind"]


def _check_fit(form: PinForm, kind: str, facts: JsonDict) -> None:
    """Refuse, beside the field, what no plan could ever mean."""
    case, unit, model = form.case, facts.get("unit"), facts.get("model")
    kind = NOT.get(kind, kind)
    aboard = bool(unit) and device_of(case, unit) is not None
    if kind in FATES and not aboard:
        form.add_error("unit", "This one is not aboard yet: choose “New unit is this model”.")
    elif kind == "remove" and _is_switch(case, unit):
        form.add_error("unit", "A switch is never taken out: choose “off the network”.")
    elif kind == "replace" and model == (device_of(case, unit) or {}).get("model"):
        form.add_error("model", f"{unit} is a {model_name(case, model)} already.")
    elif kind == "replace" and model and _is_switch(case, unit) != (_kind(case, model) == "switch"):
        form.add_error(
            "model", "A switch never takes the place of another kind, nor it a switch's."
        )
    elif kind == "model" and aboard:
        form.add_error("unit", "This one is aboard: choose “Unit is replaced”.")
    elif kind in {"switch", "no_switch"} and model and _kind(case, model) != "switch":
        form.add_error("model", f"{model_name(case, model)} is not a switch.")


class PinRows(BaseFormSet):
    """All pins; at least one, or nothing would be asked."""

    def clean(self) -> None:
        """Something is asked."""
        if not any(self.errors) and not self.asked:
            raise forms.ValidationError("Fill at least one row: what should be otherwise?")

    @property
    def asked(self) -> list[PinForm]:
        """The rows that hold a pin and are not struck out."""
        return [
            form
            for form in self.forms
            if form.has_changed() and form.cleaned_data and not form.cleaned_data.get("DELETE")
        ]

    @property
    def pins(self) -> list[JsonDict]:
        """The pins in order."""
        return [form.pin for form in self.asked]

    def refuse(self, error: FactRefused) -> None:
        """Put what the planner refused beside its row."""
        for place, form in enumerate(self.asked):
            if error.field == pin_id(place):
                form.add_error("kind", error.message)


PinFormSet = formset_factory(
    PinForm,
    formset=PinRows,
    extra=2,
    max_num=MOST_PINS,
    validate_max=True,
    absolute_max=MOST_PINS + 5,
    can_delete=True,
)


def pin_choices(case: JsonDict) -> dict[str, list[tuple[str, str]]]:
    """What a pin may name: units, models, releases and places of the case, by their names."""
    models = case["catalogue"]["models"]
    names = [device["id"] for device in case["boat"]["devices"]]
    names += [request["id"] for request in case["job"]["requests"] if "add" in request]
    return {
        "unit": [(name, unit_words(case, name)) for name in names],
        "model": sorted(((code, model_name(case, code)) for code in models), key=lambda p: p[1]),
        "release": _releases(case),
        "location": [(name, name) for name in case["boat"]["locations"]],
    }


def _releases(case: JsonDict) -> list[tuple[str, str]]:
    of: dict[str, list[str]] = {}
    for code, model in case["catalogue"]["models"].items():
        for name in model["releases"]:
            of.setdefault(name, []).append(model_name(case, code))
    return [(name, f"{name} ({', '.join(sorted(found))})") for name, found in sorted(of.items())]
