"""Forms of known problems."""

from typing import Any

from django import forms

from shopapp.fleet.models import KnownProblem
from shopapp.fleet.services.known import Naming
from shopapp.jobs.models import Problem
from shopapp.ui.forms import DeskForm, PickField

FACTS = ("title", "symptom", "model", "counterpart", "cause", "cure", "safety")


class NamingForm(DeskForm):
    """What a known problem is called and known by."""

    title = forms.CharField(label="In a few words", max_length=120)
    symptom = forms.ChoiceField(label="What is seen", choices=Problem.Symptom.choices)
    model = PickField("models", label="On which model", required=False)
    counterpart = PickField("models", label="Together with", required=False)
    cause = forms.CharField(
        label="Cause, if proven",
        max_length=200,
        required=False,
        help_text="Left empty it stays unexplained; a cause shown later may split it or merge it.",
    )
    cure = forms.CharField(label="What cures it", max_length=200, required=False)
    safety = forms.BooleanField(label="It can hurt someone: act on one case", required=False)

    @staticmethod
    def start(row: KnownProblem | Problem) -> dict[str, Any]:
        """What the form begins with, from a known problem or from its first note."""
        facts = {name: getattr(row, name) for name in FACTS if hasattr(row, name)}
        if isinstance(row, Problem):
            on = f" on {row.model}" if row.model else ""
            facts["title"] = f"{row.get_symptom_display()}{on}"[:120]
        return facts

    def naming(self) -> Naming:
        """The words of it."""
        return Naming(**{name: self.cleaned_data[name] for name in FACTS})


class MergeForm(DeskForm):
    """The known problem that takes this one in."""

    into = PickField("known", label="It is the same as")
    note = forms.CharField(label="What showed it", max_length=300, required=False)
