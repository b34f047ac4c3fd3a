"""The form of a question to the fleet."""

from typing import Any

from django import forms
from django.http import HttpRequest

from shopapp.boats.models import Boat
from shopapp.catalog.models import Release
from shopapp.fleet.asking import COLUMNS, FIRST_SHOWN
from shopapp.fleet.models import BoatStanding
from shopapp.jobs.models import Problem
from shopapp.ui.forms import DeskForm, PickField

PARTS = {"a": "Carries", "b": "And carries"}
DATES = (("seen_since", "not_since"),)


class AskForm(DeskForm):
    """Filters over boats; every field may stay empty."""

    q = forms.CharField(label="Boat, owner, hull number or berth", required=False, max_length=120)
    kind = forms.ChoiceField(
        label="Kind of boat", choices=[("", "Any"), *Boat.BoatKind.choices], required=False
    )
    marina = forms.CharField(label="Marina", required=False, max_length=80)
    standing = forms.ChoiceField(
        label="Right today", choices=[("", "Any"), *BoatStanding.State.choices], required=False
    )
    a_model = PickField("models", label="Carries", required=False)
    a_from = forms.CharField(label="from release", required=False, max_length=40)
    a_to = forms.CharField(label="up to release", required=False, max_length=40)
    a_unknown = forms.BooleanField(label="its release is not known", required=False)
    b_model = PickField("models", label="And, too", required=False)
    b_from = forms.CharField(label="from release", required=False, max_length=40)
    b_to = forms.CharField(label="up to release", required=False, max_length=40)
    b_without = forms.BooleanField(label="turn round: does not carry it", required=False)
    switch = PickField("models", label="Network switch", required=False)
    least = forms.IntegerField(label="Units on the network, from", required=False, min_value=0)
    most = forms.IntegerField(label="to", required=False, min_value=0)
    symptom = forms.ChoiceField(
        label="Ever noted", choices=[("", "Anything"), *Problem.Symptom.choices], required=False
    )
    known = PickField("known", label="Known problem", required=False)
    noted_since = forms.DateField(label="A problem noted since", required=False)
    seen_since = forms.DateField(label="Looked at since", required=False)
    not_since = forms.DateField(label="but not any more since", required=False)
    columns = forms.MultipleChoiceField(
        label="Columns",
        choices=[(name, column.head) for name, column in COLUMNS.items()],
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, request: HttpRequest, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"columns": FIRST_SHOWN})
        super().__init__(*args, request=request, **kwargs)

    def clean(self) -> dict[str, Any]:
        """Releases become rows of their model; ends must be the right way round."""
        facts = super().clean()
        for part in PARTS:
            self._releases(facts, part)
        self._in_order(facts, "least", "most", "This is less than the figure before.")
        words = "This day lies before the one on which the boat was looked at."
        self._in_order(facts, "seen_since", "not_since", words)
        facts["columns"] = facts.get("columns") or list(FIRST_SHOWN)
        return facts

    def _releases(self, facts: dict[str, Any], part: str) -> None:
        model = facts.get(f"{part}_model")
        for end in ("from", "to"):
            name = f"{part}_{end}"
            if facts.get(name):
                facts[name] = self._release(model, facts[name], name)
        low, high = facts.get(f"{part}_from"), facts.get(f"{part}_to")
        if low and high and low.rank > high.rank:
            self.add_error(f"{part}_to", f"{high} came out before {low}.")

    def _release(self, model: Any, text: str, name: str) -> Release | None:
        if model is None:
            self.add_error(name, "Say first which model.")
            return None
        found = model.releases.filter(name=text.strip()).first()
        if found is None:
            had = ", ".join(model.releases.values_list("name", flat=True)) or "no firmware"
            self.add_error(name, f"{model} never had {text}. It has {had}.")
        return found

    def _in_order(self, facts: dict[str, Any], low: str, high: str, words: str) -> None:
        first, last = facts.get(low), facts.get(high)
        if first is not None and last is not None and first > last:
            self.add_error(high, words)


class KeepForm(DeskForm):
    """The name under which a question is kept."""

    name = forms.CharField(label="Keep it as", max_length=80)
    shared = forms.BooleanField(label="for everybody in the shop", required=False)
    asked = forms.CharField(widget=forms.HiddenInput, required=False, max_length=2000)
