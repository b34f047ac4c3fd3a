"""The evidence bar: how, when and how surely everything of one save is known."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.boats.models import Boat, How, Sureness
from shopapp.boats.services.evidence import Seen
from shopapp.ui.forms import DeskForm

STALE = (
    "Somebody changed this boat's facts while you were typing. What you typed is kept: "
    "compare the cells marked below with what is on record now, then save again."
)


class SeenForm(DeskForm):
    """One bar for all values added or changed in this save."""

    how = forms.ChoiceField(label="How it is known", choices=How.choices, initial=How.SEEN)
    seen_at = forms.DateTimeField(label="Seen when", required=False, help_text="Empty: just now.")
    sureness = forms.ChoiceField(label="How sure", choices=Sureness.choices, initial=Sureness.HIGH)
    note = forms.CharField(label="Note on all of it", max_length=200, required=False, strip=True)
    stamp = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, boat: Boat | None = None, **kwargs: Any) -> None:
        kwargs.setdefault("prefix", "seen")
        super().__init__(*args, **kwargs)
        self.now = boat.facts_changed_at.isoformat() if boat and boat.pk else ""
        self.fields["stamp"].initial = self.now

    @property
    def is_stale(self) -> bool:
        """Whether the facts changed since the page was made."""
        return self.is_bound and bool(self.now) and self.data.get("seen-stamp") != self.now

    def renew(self) -> None:
        """After the warning the next save counts as made with open eyes."""
        self.add_error(None, STALE)
        self.data = self.data.copy()
        self.data["seen-stamp"] = self.now

    def clean_seen_at(self) -> Any:
        """Nothing was seen in the future."""
        moment = self.cleaned_data["seen_at"]
        if moment and moment > timezone.now():
            raise ValidationError("This time lies ahead. Give the time when it was seen.")
        return moment

    def seen(self, by: User) -> Seen:
        """What the services take."""
        facts = self.cleaned_data
        return Seen(
            how=facts["how"],
            by=by,
            seen_at=facts["seen_at"],
            sureness=facts["sureness"],
            note=facts["note"],
        )
