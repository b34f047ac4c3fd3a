"""Forms of a survey sheet: one for each question, large enough for gloves."""

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from shopapp.boats.models import How
from shopapp.jobs.models import SurveyItem
from shopapp.ui.forms import DeskForm

ABOARD = [(how.value, how.label) for how in How if how not in {How.JOB, How.ASSUMED}]


class AnswerItemForm(DeskForm):
    """What was found, how it is known, a photo of it, a note."""

    value = forms.CharField(label="Found", max_length=200, required=False)
    image = forms.FileField(
        label="Photo",
        required=False,
        widget=forms.FileInput({"accept": "image/jpeg,image/png", "capture": "environment"}),
    )
    how = forms.ChoiceField(label="How it is known", choices=ABOARD, initial=How.SEEN)
    seen_at = forms.DateTimeField(label="Seen when", required=False, help_text="Empty: just now.")
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, item: SurveyItem, **kwargs: Any) -> None:
        start = {"value": item.answer, "how": item.how or _first_how(item), "note": item.note}
        super().__init__(*args, initial=start, prefix=f"i{item.pk}", **kwargs)
        self.item = item
        if item.form == SurveyItem.Form.CHOICE:
            self.fields["value"] = forms.ChoiceField(
                label="Found",
                required=False,
                choices=[tuple(pair) for pair in item.choices],
                widget=forms.RadioSelect if len(item.choices) <= 6 else forms.Select,
            )
            if len(item.choices) > 6:
                self.fields["value"].choices = [("", "Choose"), *map(tuple, item.choices)]
        elif item.form == SurveyItem.Form.NUMBER:
            self.fields["value"].label = f"Found ({item.unit})"
            self.fields["value"].widget.attrs |= {"inputmode": "decimal", "autocomplete": "off"}
        elif item.form == SurveyItem.Form.PHOTO:
            del self.fields["value"]

    def clean_seen_at(self) -> datetime | None:
        """Nothing was seen in the future."""
        moment = self.cleaned_data["seen_at"]
        if moment and moment > timezone.now():
            raise ValidationError("This time lies ahead. Give the time when it was seen.")
        return moment


def _first_how(item: SurveyItem) -> str:
    """A release is read from the unit's own page; all else is seen."""
    if item.form == SurveyItem.Form.PHOTO:
        return How.PHOTO
    return How.BUS if item.fact == "release" else How.SEEN
