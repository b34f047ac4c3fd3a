"""Forms of sign-in, people and the shop's settings."""

from django import forms
from django.contrib.auth import password_validation
from django.contrib.auth.forms import AuthenticationForm
from django.core.exceptions import ValidationError

from shopapp.accounts.models import Shop, TaxRate, User
from shopapp.ui.forms import CentsField, DeskForm, DeskModelForm

WRONG = (
    "That name and password do not belong together. "
    "Mind capital letters; after a few wrong tries the door is shut for a while."
)


class SignInForm(AuthenticationForm):
    """Name and password."""

    error_messages = {"invalid_login": WRONG, "inactive": WRONG}

    def __init__(self, request: object = None, **kwargs: object) -> None:
        super().__init__(request, label_suffix="", **kwargs)
        self.fields["username"].label = "Sign-in name"


class PasswordForm(DeskForm):
    """The old password and the new one, once: it can be shown while typing."""

    old = forms.CharField(
        label="Password until now",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )
    fresh = forms.CharField(
        label="New password",
        strip=False,
        help_text="At least 10 signs, not only figures. Three or four odd words do well.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    again = forms.CharField(
        label="New password again",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean_old(self) -> str:
        """The old password must be right."""
        old = self.cleaned_data["old"]
        if not self.request.user.check_password(old):
            raise ValidationError("That is not your password until now.")
        return old

    def clean_fresh(self) -> str:
        """The new one must be strong and new."""
        fresh = self.cleaned_data["fresh"]
        if self.request.user.check_password(fresh):
            raise ValidationError("That is the password until now; choose another.")
        password_validation.validate_password(fresh, self.request.user)
        return fresh

    def clean(self) -> dict[str, object]:
        """Both new ones must be the same."""
        facts = super().clean()
        if facts.get("fresh") and facts.get("again") and facts["fresh"] != facts["again"]:
            self.add_error("again", "This differs from the new password above.")
        return facts


class PersonForm(DeskModelForm):
    """A person of the shop."""

    class Meta:
        model = User
        fields = ["full_name", "username", "role", "email", "phone", "day_minutes"]
        labels = {
            "full_name": "Name",
            "username": "Sign-in name",
            "day_minutes": "Working minutes a day",
        }
        help_texts = {"username": "Letters, figures and . - _ only; best the first name."}

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["full_name"].required = True


class MyFactsForm(DeskModelForm):
    """What people may change about themselves."""

    class Meta:
        model = User
        fields = ["full_name", "email", "phone"]
        labels = {"full_name": "Name"}


class ShopForm(DeskModelForm):
    """The shop's name on paper, its money rules and its planning rates."""

    labour_cents_per_hour = CentsField(
        label="Labour per hour", help_text="The planner counts whole cents a minute."
    )
    supplies_cap_cents = CentsField(label="Shop supplies at most")
    check_over_cents = CentsField(
        label="A second person looks at totals over",
        required=False,
        help_text="Empty: no total asks for a second look.",
    )
    labour_cost_cents_per_hour = CentsField(label="An hour of labour costs us", required=False)
    offnet_penalty_cents = CentsField(
        label="A unit left off counts as",
        help_text="Off the network though it was on it: weighed against keeping it on, not billed.",
    )
    lost_penalty_cents = CentsField(
        label="A unit taken out counts as",
        help_text="Taken out though nobody asked: weighed likewise, not billed.",
    )

    class Meta:
        model = Shop
        fields = [
            "name", "address", "phone", "email", "currency", "time_zone",
            "labour_cents_per_hour", "supplies_percent", "supplies_cap_cents",
            "deposit_percent", "quote_valid_days", "change_limit_percent", "quote_terms",
            "not_included",
            "check_over_cents", "margin_equipment_percent", "margin_small_percent",
            "margin_labour_percent", "labour_cost_cents_per_hour",
            "pull_minutes_base", "pull_minutes_per_ft", "drop_in_minutes", "fuse_minutes",
            "slack_ft", "offnet_penalty_cents", "lost_penalty_cents", "travel_minutes",
            "label_sheet",
        ]  # fmt: skip
        labels = {
            "name": "Name on paper",
            "currency": "Currency (three letters)",
            "supplies_percent": "Shop supplies, % of labour",
            "deposit_percent": "Deposit, % of the total",
            "quote_valid_days": "A quote holds for, days",
            "change_limit_percent": "Changed on a job without asking, % of what was agreed",
            "quote_terms": "Terms on every quote",
            "not_included": "Not included, said on every quote",
            "margin_equipment_percent": "Least margin on equipment, %",
            "margin_small_percent": "Least margin on small parts, %",
            "margin_labour_percent": "Least margin on labour, %",
            "label_sheet": "Sheets of cable labels",
            "travel_minutes": "Way to a marina and back, minutes",
            "pull_minutes_base": "Pull a cable: minutes to begin",
            "pull_minutes_per_ft": "Pull a cable: minutes a foot",
            "drop_in_minutes": "Swap on the same holes: minutes",
            "fuse_minutes": "Change a fuse: minutes",
            "slack_ft": "Slack on each cable, feet",
        }
        help_texts = {
            "margin_equipment_percent": "Below it a manager passes the quote. Empty: not asked.",
            "supplies_percent": "Ties, heat-shrink, sealant; named cable is never hidden here.",
            "time_zone": "As on a map of zones, for example America/Chicago.",
            "not_included": "One a line: lift, bottom paint, woodwork, fuel, charts.",
        }

    GROUPS = [
        (
            "On paper",
            ["name", "address", "phone", "email", "currency", "time_zone", "label_sheet"],
        ),
        (
            "Money",
            ["labour_cents_per_hour", "supplies_percent", "supplies_cap_cents"],
        ),
        (
            "Quotes",
            [
                "deposit_percent", "quote_valid_days", "change_limit_percent", "quote_terms",
                "not_included",
            ],
        ),
        ("Week board", ["travel_minutes"]),
        (
            "Second look",
            [
                "check_over_cents", "margin_equipment_percent", "margin_small_percent",
                "margin_labour_percent", "labour_cost_cents_per_hour",
            ],
        ),
        (
            "Planning",
            [
                "pull_minutes_base", "pull_minutes_per_ft", "drop_in_minutes", "fuse_minutes",
                "slack_ft", "offnet_penalty_cents", "lost_penalty_cents",
            ],
        ),
    ]  # fmt: skip

    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The fields under their headings."""
        return [(title, [self[name] for name in names]) for title, names in self.GROUPS]

    def clean_currency(self) -> str:
        """Three letters, as on a bank's paper."""
        code = self.cleaned_data["currency"].strip().upper()
        if not (len(code) == 3 and code.isascii() and code.isalpha()):
            raise ValidationError("Write the currency's three letters, for example USD.")
        return code

    def clean_labour_cents_per_hour(self) -> int:
        """Whole cents a minute, so that plan and quote agree to the cent."""
        cents = self.cleaned_data["labour_cents_per_hour"]
        if cents <= 0 or cents % 60:
            low = cents // 60 * 60
            raise ValidationError(
                f"Must come to whole cents a minute: {low / 100:.2f} or {(low + 60) / 100:.2f}."
            )
        return cents


class TaxForm(DeskModelForm):
    """A tax from a day on."""

    class Meta:
        model = TaxRate
        fields = ["name", "applies_to", "percent", "valid_from"]
        labels = {"percent": "Per cent", "valid_from": "From (first day)"}

    def __init__(self, *args: object, shop: Shop, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.instance.shop = shop


class TaxEndForm(DeskForm):
    """The last day of a tax rate."""

    valid_until = forms.DateField(label="Last day")
