"""Forms of the customer's own page; every field has its limit."""

from typing import Any
from uuid import uuid4

from django import forms

from shopapp.jobs.models import CustomerPhoto, Quote, QuoteMessage, QuoteOption
from shopapp.money import show
from shopapp.ui.forms import DeskForm


class OfferedField(forms.ModelChoiceField):
    """One of the options offered, with its price beside its name."""

    def label_from_instance(self, option: QuoteOption) -> str:
        """The option as the customer chooses it."""
        price = show(option.total_cents, option.quote.currency)
        return f"Option {option.position}: {option.title}, {price}"


class AcceptForm(DeskForm):
    """Accept one of the options offered, by name."""

    option = OfferedField(
        QuoteOption.objects.none(),
        label="Which option do you accept?",
        widget=forms.RadioSelect,
        empty_label=None,
        error_messages={"required": "Choose the option that you want."},
    )
    name = forms.CharField(
        label="Your name",
        max_length=120,
        widget=forms.TextInput({"autocomplete": "name"}),
        error_messages={"required": "Write your name: it stands for your signature."},
    )
    agreed = forms.BooleanField(
        label="I accept this option with its assumptions and the terms above",
        error_messages={"required": "Tick this to accept."},
    )

    def __init__(self, *args: Any, quote: Quote, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offered = quote.options.filter(offered=True).select_related("quote")
        self.fields["option"].queryset = offered
        if len(offered) == 1:
            self.fields["option"].initial = offered[0]


class DeclineForm(DeskForm):
    """Say no, with a reason."""

    name = forms.CharField(
        label="Your name",
        max_length=120,
        widget=forms.TextInput({"autocomplete": "name"}),
        error_messages={"required": "Write your name."},
    )
    reason = forms.CharField(
        label="What speaks against it",
        max_length=1000,
        required=False,
        widget=forms.Textarea({"rows": "3", "maxlength": "1000"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="no_%s", **kwargs)


class QuestionForm(DeskForm):
    """A question about the quote; `once` makes a second press the same message."""

    name = forms.CharField(
        label="Your name",
        max_length=120,
        widget=forms.TextInput({"autocomplete": "name"}),
        error_messages={"required": "Write your name."},
    )
    text = forms.CharField(
        label="Your question",
        max_length=QuoteMessage.TEXT_LIMIT,
        widget=forms.Textarea({"rows": "3", "maxlength": str(QuoteMessage.TEXT_LIMIT)}),
        error_messages={"required": "Write what you would like to know."},
    )
    once = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        # Three forms of the page ask for a name: each label must find its own field.
        super().__init__(*args, auto_id="ask_%s", **kwargs)


class PhotoOfAssumptionForm(DeskForm):
    """A photo that shows whether an assumption is right."""

    number = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=9999)
    image = forms.FileField(
        label="Photo (JPEG or PNG)",
        widget=forms.FileInput({"accept": "image/jpeg,image/png"}),
        error_messages={"required": "Choose the photo."},
    )
    taken_on = forms.DateField(label="Taken on", help_text="The day of the photo.")
    text = forms.CharField(
        label="What it shows", max_length=CustomerPhoto.TEXT_LIMIT, required=False
    )
    name = forms.CharField(
        label="Your name",
        max_length=120,
        widget=forms.TextInput({"autocomplete": "name"}),
        error_messages={"required": "Write your name."},
    )
    once = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)

    def __init__(self, *args: Any, number: int, **kwargs: Any) -> None:
        start = {"number": number, **kwargs.pop("initial", {})}
        super().__init__(*args, auto_id=f"photo{number}_%s", initial=start, **kwargs)
        self.about = number

    def said(self) -> dict[str, Any]:
        """What the service asks for."""
        facts = {name: self.cleaned_data[name] for name in ("name", "taken_on", "text", "once")}
        return {**facts, "upload": self.cleaned_data["image"]}


class ReplyForm(DeskForm):
    """What the shop answers."""

    text = forms.CharField(
        label="Your answer, read by the customer",
        max_length=QuoteMessage.TEXT_LIMIT,
        widget=forms.Textarea({"rows": "3", "maxlength": str(QuoteMessage.TEXT_LIMIT)}),
        error_messages={"required": "Write an answer."},
    )
    once = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
