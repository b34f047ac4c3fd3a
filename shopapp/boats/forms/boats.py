"""Forms of a boat, of its sale, its photos and its settled disputes."""

from typing import Any

from django import forms
from django.utils import timezone

from shopapp.boats.forms.cells import ThousandthField, YesNoField
from shopapp.boats.hull_number import read_hull_number
from shopapp.boats.models import Boat
from shopapp.ui.forms import DeskForm, DeskModelForm, PickField

MORE_THAN_ZERO = "Must be more than zero."


class BoatForm(DeskModelForm):
    """A boat's own facts; the owner is named once here and then by sale."""

    customer = PickField("customers", label="Owner")
    dc_limit_ma = ThousandthField(label="Electronics feed limit (A)", max_value=10000)
    dock_power = YesNoField()

    class Meta:
        model = Boat
        fields = [
            "name", "customer", "kind", "builder", "year", "length_ft", "beam_ft", "draught_ft",
            "air_draught_ft", "hull_material", "hull_number_read", "registration", "fuel",
            "engines", "dc_volts", "dc_limit_ma", "slack_ft", "marina", "berth", "dock_power",
            "access", "passengers", "note",
        ]  # fmt: skip
        labels = {
            "dc_volts": "DC system",
            "hull_number_read": "Hull number, as read from the plate",
            "access": "Keys, gate, hours, dog",
        }
        help_texts = {
            "hull_number_read": "Twelve signs since 1972 (33 CFR 181.25); odd ones are kept.",
            "marina": "Or yard, or trailer.",
        }

    GROUPS = [
        ("Boat and owner", ["name", "customer", "kind", "builder", "year"]),
        ("Size", ["length_ft", "beam_ft", "draught_ft", "air_draught_ft", "hull_material"]),
        ("Papers", ["hull_number_read", "registration", "passengers"]),
        ("Power", ["fuel", "engines", "dc_volts", "dc_limit_ma", "slack_ft"]),
        ("Lying", ["marina", "berth", "dock_power", "access", "note"]),
    ]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            del self.fields["customer"]
        for name in ("length_ft", "beam_ft", "draught_ft", "air_draught_ft"):
            self.fields[name].widget.attrs["data-feet"] = ""
        self.fields["hull_number_read"].widget.attrs["data-hull-number"] = ""

    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The fields under their headings."""
        return [
            (title, [self[name] for name in names if name in self.fields])
            for title, names in self.GROUPS
        ]

    def clean(self) -> dict[str, Any]:
        """Lengths are more than zero; a hull number only warns."""
        facts = super().clean()
        for name in ("length_ft", "beam_ft", "draught_ft", "air_draught_ft"):
            length = facts.get(name)
            if length is not None and length <= 0:
                self.add_error(name, MORE_THAN_ZERO)
        year = facts.get("year")
        if year is not None and not 1800 <= year <= timezone.localdate().year + 2:
            self.add_error("year", "Write the year with four figures.")
        if facts.get("hull_number_read"):
            facts["hull_number_read"] = facts["hull_number_read"].strip()
        return facts

    def _get_validation_exclusions(self) -> set[str]:
        # The form says it about lengths itself, beside the field.
        return super()._get_validation_exclusions() | {"length_ft", "beam_ft"}

    @property
    def hull_text(self) -> str:
        """The normalised hull number as it stands in the form."""
        return read_hull_number(str(self["hull_number_read"].value() or "")).text

    def changed_values(self) -> dict[str, Any]:
        """What the service takes of an edit."""
        return {name: self.cleaned_data[name] for name in self.changed_data}


class SaleForm(DeskForm):
    """Who bought the boat, and when."""

    to = PickField("customers", label="New owner")
    on = forms.DateField(label="Day of the sale")

    def clean_on(self) -> Any:
        """A sale that has taken place."""
        day = self.cleaned_data["on"]
        if day > timezone.localdate():
            raise forms.ValidationError("This day lies ahead; note the sale when it is done.")
        return day


class PhotoForm(DeskForm):
    """A photo with what it shows."""

    image = forms.FileField(
        label="Picture (JPEG or PNG)",
        widget=forms.FileInput({"accept": "image/jpeg,image/png", "capture": "environment"}),
    )
    caption = forms.CharField(label="What it shows", max_length=120, required=False)


class SettleForm(forms.Form):
    """Which of two values holds."""

    keep = forms.ChoiceField(choices=[("yes", "yes"), ("no", "no")])
