"""Forms of bulletins and of what is said in a campaign's calls."""

from typing import Any

from django import forms

from shopapp.fleet.models import Bulletin, CampaignBoat, CampaignEntry
from shopapp.fleet.services.calling import answers_for
from shopapp.ui.forms import DeskForm, PickField

SHARED = ("kind", "title", "source", "issued_on", "due_on", "payer", "safety", "remedy")
FIRMWARE = ("release", "target")
RECALL = ("part", "serial_from", "serial_to", "replace_by", "minutes")
RULE = ("statement",)


class BulletinForm(DeskForm):
    """A bulletin as it came in: what kind, what it speaks of, who pays, until when."""

    kind = forms.ChoiceField(label="What it says", choices=Bulletin.Kind.choices)
    title = forms.CharField(label="In a few words, as the owner reads it", max_length=120)
    source = forms.CharField(label="Who says so, and where", max_length=160)
    issued_on = forms.DateField(label="Issued on")
    due_on = forms.DateField(label="To be done by", required=False)
    payer = forms.ChoiceField(label="Who pays", choices=Bulletin.Payer.choices)
    safety = forms.BooleanField(label="It can hurt someone: call at once", required=False)
    remedy = forms.CharField(
        label="What is to be done",
        max_length=300,
        required=False,
        help_text="For the letter and the quote; left empty, the plan's own words.",
    )
    release = PickField(
        "releases",
        label="Release",
        required=False,
        help_text="The one withdrawn, or the least one that is urged.",
    )
    target = PickField(
        "releases",
        label="Bring boats to",
        required=False,
        help_text="Left empty, the nearest sound release that the planner finds a way to.",
    )
    part = PickField("parts", label="Part", required=False)
    serial_from = forms.CharField(label="Serial numbers from", max_length=60, required=False)
    serial_to = forms.CharField(label="up to", max_length=60, required=False)
    replace_by = PickField(
        "models",
        label="Replaced by",
        required=False,
        help_text="Left empty, by a new one of the same.",
    )
    minutes = forms.IntegerField(
        label="Minutes a piece",
        min_value=0,
        max_value=6000,
        required=False,
        help_text="Left empty, the catalogue's own to take out and fit.",
    )
    statement = PickField("statements", label="Statement in force", required=False)

    @property
    def groups(self) -> list[tuple[str, str, list[forms.BoundField]]]:
        """Fields that belong to one kind of bulletin: its words, its key, the fields."""
        parts = (
            ("A release withdrawn, or an update urged", "firmware", FIRMWARE),
            ("A part recalled", "recall", RECALL),
            ("A rule changed", "rule", RULE),
        )
        return [(words, key, [self[name] for name in names]) for words, key, names in parts]

    @property
    def shared(self) -> list[forms.BoundField]:
        """Fields of every bulletin."""
        return [self[name] for name in SHARED]

    def bulletin(self) -> Bulletin:
        """The bulletin, unsaved."""
        facts = dict(self.cleaned_data)
        facts["minutes"] = facts["minutes"] or 0
        for name in ("serial_from", "serial_to"):
            facts[name] = facts[name].strip().upper()
        return Bulletin(**facts)


class CallForm(DeskForm):
    """What came of a call, or of a look aboard."""

    said = forms.ChoiceField(label="What came of it")
    way = forms.ChoiceField(label="How", choices=CampaignEntry.Way.choices, required=False)
    name = forms.CharField(label="Who said yes", max_length=120, required=False)
    note = forms.CharField(label="Note", max_length=300, required=False)
    seen = forms.CharField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, row: CampaignBoat, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"seen": row.state, "way": _way_of(row)})
        super().__init__(*args, **kwargs)
        self.fields["said"].choices = answers_for(row)


def _way_of(row: CampaignBoat) -> str:
    """What the owner likes best, where it is a way to call."""
    return row.boat.customer.preferred_way


class CloseForm(DeskForm):
    """Why a campaign ends."""

    note = forms.CharField(label="Why it ends, and what becomes of boats left", max_length=300)
