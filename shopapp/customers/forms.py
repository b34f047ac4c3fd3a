"""Forms of customers, with phones and approvers as fast sheets."""

from typing import Any

from django import forms
from django.forms import BaseFormSet, formset_factory

from shopapp.customers.models import Customer
from shopapp.customers.services import ApproverRow, PhoneRow
from shopapp.ui.forms import CentsField, DeskForm, DeskModelForm


class CustomerForm(DeskModelForm):
    """A customer's own facts."""

    approve_limit_cents = CentsField(
        label="May go on without asking up to",
        required=False,
        help_text="Found work up to this amount is done with a note. Empty: always ask.",
    )

    class Meta:
        model = Customer
        fields = [
            "name", "billing_name", "address", "email", "preferred_way", "hours",
            "approve_limit_cents", "payment_terms", "tax_exempt", "tax_certificate",
            "technician_note", "office_note",
        ]  # fmt: skip
        labels = {
            "billing_name": "Name on the bill",
            "email": "E-mail",
            "preferred_way": "Best reached by",
            "tax_exempt": "Pays no sales tax",
            "tax_certificate": "Certificate number",
        }
        help_texts = {
            "billing_name": "Only where it differs.",
            "hours": "For example: after 17:00, not on Sundays.",
            "technician_note": "Shown at the boat: dog aboard, key at the office.",
            "office_note": "Never shown to technicians or the customer.",
        }

    def people(self) -> list[forms.BoundField]:
        """Who, and how to reach them."""
        names = ["name", "billing_name", "email", "preferred_way", "hours", "address"]
        return [self[name] for name in names]

    def money(self) -> list[forms.BoundField]:
        """What may be spent, and how it is taxed."""
        names = ["approve_limit_cents", "payment_terms", "tax_exempt", "tax_certificate"]
        return [self[name] for name in names]

    def notes(self) -> list[forms.BoundField]:
        """Notes, each with its readers."""
        return [self["technician_note"], self["office_note"]]


class PhoneForm(DeskForm):
    """A row of the phone sheet."""

    number = forms.CharField(
        max_length=40, widget=forms.TextInput({"inputmode": "tel", "autocomplete": "off"})
    )
    label = forms.CharField(label="Whose, when", max_length=40, required=False)


class ApproverForm(DeskForm):
    """A row of the approver sheet."""

    name = forms.CharField(max_length=120)
    relation = forms.CharField(label="Who that is", max_length=60, required=False)
    up_to_cents = CentsField(label="May approve up to", required=False)


class RowsOnce(BaseFormSet):
    """Rows that are told apart by one field, refused where it stands twice."""

    once = ""
    twice = ""

    @property
    def kept(self) -> list[Any]:
        """The rows filled in and not struck."""
        filled = [form for form in self.forms if form.has_changed() or form.initial]
        return [form for form in filled if not self._should_delete_form(form)]

    def clean(self) -> None:
        """Say it beside the second one."""
        seen: set[str] = set()
        for form in self.kept:
            value = "".join(str(form.cleaned_data.get(self.once, "")).split()).casefold()
            if value and value in seen:
                form.add_error(self.once, self.twice)
            seen.add(value)

    def values(self, *names: str) -> list[tuple]:
        """The kept rows as tuples."""
        return [tuple(form.cleaned_data[name] for name in names) for form in self.kept]


class PhoneRows(RowsOnce):
    """Phones in the order to try."""

    once = "number"
    twice = "This number stands above already."

    def rows(self) -> list[PhoneRow]:
        """What the service takes."""
        return [PhoneRow(*row) for row in self.values("number", "label")]


class ApproverRows(RowsOnce):
    """Those who may say yes."""

    once = "name"
    twice = "This name stands above already."

    def rows(self) -> list[ApproverRow]:
        """What the service takes."""
        return [ApproverRow(*row) for row in self.values("name", "relation", "up_to_cents")]


PhoneSheet = formset_factory(PhoneForm, formset=PhoneRows, extra=1, max_num=20, can_delete=True)
ApproverSheet = formset_factory(
    ApproverForm, formset=ApproverRows, extra=1, max_num=20, can_delete=True
)


def customer_sheets(data: Any, customer: Customer) -> tuple[PhoneRows, ApproverRows]:
    """Both sheets of a customer, filled from the records or from what was sent."""
    phones, approvers = [], []
    if data is None and customer.pk:
        phones = list(customer.phones.values("number", "label"))
        approvers = list(customer.approvers.values("name", "relation", "up_to_cents"))
    return (
        PhoneSheet(data, prefix="phones", initial=phones),
        ApproverSheet(data, prefix="approvers", initial=approvers),
    )
