"""Forms of change orders."""

from django import forms

from shopapp.catalog.models import EquipmentModel
from shopapp.jobs.models import ChangeOrder, Job
from shopapp.ui.forms import CentsField, DeskForm


class ChangeForm(DeskForm):
    """What was found, why it changes the job, and a unit that is wished besides."""

    found = forms.CharField(
        label="What was found, or what is asked for",
        max_length=2000,
        widget=forms.Textarea({"rows": 3}),
    )
    ground = forms.ChoiceField(label="Because", choices=ChangeOrder.Ground.choices)
    add_model = forms.ModelChoiceField(
        EquipmentModel.objects.none(),
        label="Fit one more",
        required=False,
        empty_label="Nothing more",
    )
    add_at = forms.ChoiceField(label="At", required=False)

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        models = EquipmentModel.objects.filter(shop=job.shop_id, part__isnull=False)
        self.fields["add_model"].queryset = models.select_related("family__maker").order_by("name")
        places = job.boat.locations.order_by("name").values_list("name", flat=True)
        self.fields["add_at"].choices = [("", "Pick a place"), *((one, one) for one in places)]

    def clean(self) -> dict:
        """One more unit needs its place."""
        facts = super().clean()
        if facts.get("add_model") and not facts.get("add_at"):
            self.add_error("add_at", "Say where it goes.")
        return facts

    def wishes(self) -> list[dict]:
        """The wish for one more unit, where there is one."""
        model = self.cleaned_data.get("add_model")
        if model is None:
            return []
        place = self.cleaned_data["add_at"]
        return [{"kind": "add", "models": [model.code], "location": place, "networked": True}]


class HandLineForm(DeskForm):
    """A line that no plan knows."""

    words = forms.CharField(label="What", max_length=200)
    minutes = forms.IntegerField(label="Minutes of work", required=False, min_value=0)
    cents = CentsField(label="Or a sum", required=False, below_zero=True)


class YesForm(DeskForm):
    """Who says yes, how it was given, and what was read back."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    name = forms.CharField(label="Name of who says yes", max_length=120)
    how = forms.ChoiceField(
        label="How", choices=[one for one in ChangeOrder.How.choices if one[0] != "link"]
    )
    note = forms.CharField(
        label="What was read back, or why nobody was asked",
        required=False,
        max_length=2000,
        widget=forms.Textarea({"rows": 2}),
    )


class NoForm(DeskForm):
    """Who says no, and why."""

    name = forms.CharField(label="Name of who says no", max_length=120)
    note = forms.CharField(label="Why", required=False, max_length=2000)

    def __init__(self, *args: object, **kwargs: object) -> None:
        # It stands on one page with the yes, whose fields have the same names.
        super().__init__(*args, **{"auto_id": "no_%s", **kwargs})


class CustomerYesForm(DeskForm):
    """The customer's own yes: a typed name."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    name = forms.CharField(
        label="Your name", max_length=120, help_text="Typing your name here counts as your yes."
    )
