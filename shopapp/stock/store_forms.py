"""Forms of stock-taking, price files and what a part's page keeps beside its price."""

from django import forms

from shopapp.stock.counts import MOST_PIECES
from shopapp.stock.models import CountRow, CountSheet
from shopapp.ui.forms import CentsField, DeskForm, PickField

REASONS = ("Miscounted before", "Broken", "Lost", "Found", "Used without a job", "Wrong place")


class CountOpenForm(DeskForm):
    """Which place to count."""

    place = forms.CharField(label="Shelf, bin or van", max_length=40)


class FoundForm(DeskForm):
    """A part that lies there though the books do not say so."""

    part = PickField("parts", label="Part")


class SheetForm(DeskForm):
    """What was counted of each row, and why it differs."""

    def __init__(self, *args: object, sheet: CountSheet, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.lines = list(sheet.rows.select_related("stock__part"))
        for row in self.lines:
            self._add(row)

    def _add(self, row: CountRow) -> None:
        number = row.stock.part.number
        wrong = f"From 0 to {MOST_PIECES:,} pieces: count again."
        self.fields[f"row-{row.pk}"] = forms.IntegerField(
            label=f"Counted of {number}",
            required=False,
            min_value=0,
            max_value=MOST_PIECES,
            initial=row.counted,
            widget=forms.TextInput({"inputmode": "numeric", "class": "figure"}),
            error_messages={"min_value": wrong, "max_value": wrong},
        )
        self.fields[f"reason-{row.pk}"] = forms.CharField(
            label=f"Why {number} differs",
            required=False,
            max_length=100,
            initial=row.reason,
            widget=forms.TextInput({"list": "reasons", "autocomplete": "off"}),
        )

    def rows(self) -> list[tuple]:
        """Each row with its two fields."""
        return [(row, self[f"row-{row.pk}"], self[f"reason-{row.pk}"]) for row in self.lines]

    def counts(self) -> dict[int, tuple[int | None, str]]:
        """Row -> (pieces or None, reason)."""
        facts = self.cleaned_data
        return {row.pk: (facts[f"row-{row.pk}"], facts[f"reason-{row.pk}"]) for row in self.lines}


class PriceFileForm(DeskForm):
    """A supplier's price file."""

    file = forms.FileField(
        label="Price file",
        help_text="CSV, at most 2 MB. Line 1 names the columns: part, price; "
        "their number, days where known.",
    )


class PriceForm(DeskForm):
    """What a supplier asks for the part."""

    supplier = PickField("suppliers", label="Supplier")
    price_cents = CentsField(label="Price")
    number = forms.CharField(label="Their number", max_length=60, required=False)
    lead_days = forms.IntegerField(
        label="Days until here", min_value=0, max_value=365, required=False
    )


class SubstituteForm(DeskForm):
    """What does the same as the part."""

    other = PickField("parts", label="Does the same")
    note = forms.CharField(label="Why it will do", max_length=120)


class KitForm(DeskForm):
    """One part of the kit."""

    part = PickField("parts", label="Holds")
    count = forms.IntegerField(label="Pieces", min_value=1, max_value=1000, initial=1)


class MoveForm(DeskForm):
    """From one place to another."""

    place = forms.CharField(label="From", max_length=40)
    to = forms.CharField(label="To", max_length=40)
    count = forms.IntegerField(label="Pieces", min_value=1, max_value=MOST_PIECES)
    reason = forms.CharField(label="Note", max_length=60, required=False)
