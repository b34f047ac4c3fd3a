"""The form of an enquiry."""

from typing import Any

from django import forms

from shopapp.jobs.models import Enquiry
from shopapp.ui.forms import CentsField, DeskModelForm, PickField


class EnquiryForm(DeskModelForm):
    """Who asks, for which boat, in which words."""

    customer = PickField("customers", label="Customer")
    boat = PickField("boats", label="Boat", required=False, help_text="Empty: not on record yet.")
    budget_cents = CentsField(label="Budget named", required=False)

    class Meta:
        model = Enquiry
        fields = ["customer", "boat", "came_by", "words", "budget_cents", "state"]
        labels = {"words": "In the customer's words"}
        widgets = {"words": forms.Textarea({"rows": 5})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.pk is None:
            del self.fields["state"]
        else:
            self.initial.setdefault("customer", self.instance.customer_id)

    def clean(self) -> dict[str, Any]:
        """A boat of the customer's own: a wrong pair is told beside the boat."""
        data = super().clean()
        boat, customer = data.get("boat"), data.get("customer")
        if boat and customer and boat.customer_id != customer.pk:
            self.add_error(
                "boat",
                f"{boat} belongs to {boat.customer}. Pick that customer, or change the owner "
                "on the boat's page first.",
            )
        return data
