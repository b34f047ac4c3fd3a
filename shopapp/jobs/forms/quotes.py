"""Forms of a quote: its words, its options, its answer."""

from typing import Any

from django import forms

from shopapp.jobs.forms.customer import OfferedField
from shopapp.jobs.forms.saving import Versioned
from shopapp.jobs.models import Assumption, Quote, QuoteOption
from shopapp.ui.forms import DeskForm

WORDS_LIMIT = 4000


class WordsForm(Versioned, forms.ModelForm):
    """Title, words, terms, last day and deposit of a quote."""

    version = forms.IntegerField(widget=forms.HiddenInput)

    class Meta:
        model = Quote
        fields = ["title", "cover", "not_included", "terms", "valid_until", "deposit_percent"]
        labels = {
            "valid_until": "Good until",
            "deposit_percent": "Deposit (% of the total)",
            "not_included": "What is not included",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("cover", "not_included", "terms"):
            self.fields[name].max_length = WORDS_LIMIT
            self.fields[name].widget.attrs |= {"rows": "5", "maxlength": str(WORDS_LIMIT)}

    def facts(self) -> dict[str, Any]:
        """The columns to write."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields}


class OptionForm(Versioned, forms.ModelForm):
    """An option's name, opening sentence, and whether the customer sees it."""

    version = forms.IntegerField(widget=forms.HiddenInput)

    class Meta:
        model = QuoteOption
        fields = ["title", "sentence", "offered"]

    def facts(self) -> dict[str, Any]:
        """The columns to write."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields}


class SendForm(DeskForm):
    """Send a quote, where need be subject to confirmation."""

    subject_ok = forms.BooleanField(
        label="Send it subject to confirmation of what is open", required=False
    )


class AssumptionForm(DeskForm):
    """What became of an assumption."""

    state = forms.ChoiceField(choices=Assumption.State.choices)


class AnswerForm(DeskForm):
    """A yes or no that came by phone or e-mail, written down by the desk."""

    answer = forms.ChoiceField(
        choices=[("yes", "Accepts an option"), ("no", "Declines")],
        widget=forms.RadioSelect,
        initial="yes",
    )
    option = OfferedField(QuoteOption.objects.none(), required=False, empty_label="None: declined")
    name = forms.CharField(label="Who said so", max_length=120)
    note = forms.CharField(
        label="How it was said, and the reason of a no",
        help_text="For example: by phone on 4 May, read back to her.",
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: Any, quote: Quote, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["option"].queryset = quote.options.filter(offered=True).select_related("quote")

    def clean(self) -> dict[str, Any]:
        """A yes names its option."""
        facts = super().clean()
        if facts.get("answer") == "yes" and not facts.get("option"):
            self.add_error("option", "Choose the option that is accepted.")
        return facts
