"""Forms of the fleet's figures."""

from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils import timezone

from shopapp.ui.forms import DeskForm

WATCHES = [(30, "30 days"), (90, "90 days"), (180, "180 days")]


class CompareForm(DeskForm):
    """A day, and how long the boats are watched before and after it."""

    day = forms.DateField(label="Before and after")
    days = forms.TypedChoiceField(label="Watched", choices=WATCHES, coerce=int, initial=90)

    def clean_day(self) -> date:
        """A day that is over."""
        day = self.cleaned_data["day"]
        if day >= timezone.localdate():
            raise forms.ValidationError("That day is still to come.")
        return day

    def clean(self) -> dict[str, Any]:
        """The watch after the day must be over as well."""
        facts = super().clean()
        day, days = facts.get("day"), facts.get("days")
        if day and days and day + timedelta(days=days) > timezone.localdate():
            self.add_error("days", f"{days} days after that day are not over yet.")
        return facts
