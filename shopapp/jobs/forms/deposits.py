"""Forms of deposits."""

from uuid import uuid4

from django import forms

from shopapp.jobs.models import Deposit
from shopapp.ui.forms import CentsField, DeskForm


class DepositForm(DeskForm):
    """Money that came in; `once` makes a second press the same deposit."""

    cents = CentsField(label="Amount received")
    way = forms.ChoiceField(label="How", choices=Deposit.Way.choices)
    received_on = forms.DateField(label="Received on")
    note = forms.CharField(
        label="Note", max_length=120, required=False, help_text="For example the receipt's number."
    )
    once = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)


class StrikeForm(DeskForm):
    """Why a deposit is struck."""

    why = forms.CharField(label="Why it is struck", max_length=120)
