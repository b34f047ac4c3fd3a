"""Forms of the jobs' pages at the desk."""

from django import forms
from django.db.models import QuerySet

from shopapp.accounts.models import Shop, User
from shopapp.jobs.models import Job
from shopapp.roles import ACTIONS
from shopapp.ui.forms import DeskForm


def technicians_of(shop: Shop) -> QuerySet[User]:
    """The people of the shop who work on boats, by name."""
    rows = User.objects.filter(shop=shop, is_active=True, role__in=ACTIONS["jobs.work"])
    return rows.order_by("full_name", "username")


class ScheduleForm(DeskForm):
    """Who goes, and on which day."""

    technician = forms.ModelChoiceField(User.objects.none(), empty_label="Pick a technician")
    planned_on = forms.DateField(label="Day")
    planned_from = forms.TimeField(
        label="From", required=False, help_text="Where a time of day is agreed, as 08:30."
    )

    def __init__(self, *args: object, shop: Shop, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["technician"].queryset = technicians_of(shop)


class PutForm(ScheduleForm):
    """A square of the board, and the version of the job that was picked up."""

    version = forms.IntegerField()


class ReasonForm(DeskForm):
    """The words that a move asks for."""

    reason = forms.CharField(
        label="Why", max_length=200, help_text="Part, owner, weather, tide, lift, safety …"
    )
    OTHER = {
        "cancelled": ("Why", "The deposit is settled by the terms of the quote; write how."),
        "checked": ("What the owner said to what was left undone", ""),
        "handed_over": ("Who took it over", "The name of who saw the work and took the pack."),
        "billed": ("Number of the bill", "As in the shop's books."),
    }

    def __init__(self, *args: object, after: str = "", **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        if after in self.OTHER:
            self.fields["reason"].label, self.fields["reason"].help_text = self.OTHER[after]


class ComebackForm(DeskForm):
    """What the customer reports, and the cause where it is known already."""

    words = forms.CharField(
        label="What the customer reports", max_length=2000, widget=forms.Textarea({"rows": 3})
    )
    cause = forms.ChoiceField(label="Cause", choices=Job.Cause.choices)


class PickedForm(DeskForm):
    """How many pieces of each line of the pick list lie in the tote."""

    def __init__(self, *args: object, lines: list, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.lines = lines
        for line in lines:
            self.fields[f"line-{line.pk}"] = forms.IntegerField(
                label=f"Picked of {line.part.number}",
                min_value=0,
                max_value=line.picked if line.issued else line.reserved,
                required=False,
                initial=line.picked,
                widget=forms.TextInput({"inputmode": "numeric", "class": "figure"}),
                error_messages={"max_value": f"Only {line.reserved} are reserved."},
            )

    def rows(self) -> list[tuple]:
        """Each line with its field."""
        return [(line, self[f"line-{line.pk}"]) for line in self.lines]

    def counts(self) -> dict[int, int]:
        """Pieces by the number of the line; empty is none."""
        return {line.pk: self.cleaned_data[f"line-{line.pk}"] or 0 for line in self.lines}
