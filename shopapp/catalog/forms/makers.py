"""Forms of makers, families and the labour table."""

from django import forms

from shopapp.accounts.models import Shop
from shopapp.catalog.models import Family, LabourTask, Maker
from shopapp.ui.forms import DeskModelForm

LONGEST_TASK_MIN = 6000


class UniqueInShop:
    """The name must be free among the rows beside it; said beside the name's own field."""

    unique_field = "name"
    unique_words = "This name is in the catalogue already."

    def siblings(self) -> object:
        """The rows among which the name must be free."""
        return type(self.instance).objects.of(self.instance.shop_id)

    def clean(self) -> dict[str, object]:
        """Refuse a name that another row has, whatever its capitals."""
        facts = super().clean()
        name = facts.get(self.unique_field)
        same = {f"{self.unique_field}__iexact": name}
        if name and self.siblings().filter(**same).exclude(pk=self.instance.pk).exists():
            self.add_error(self.unique_field, self.unique_words)
        return facts


class MakerForm(UniqueInShop, DeskModelForm):
    """Who makes equipment."""

    class Meta:
        model = Maker
        fields = ["name", "note"]

    def __init__(self, *args: object, shop: Shop, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.instance.shop = shop


class FamilyForm(UniqueInShop, DeskModelForm):
    """A maker's line of models."""

    unique_words = "This maker has a family of that name already."

    class Meta:
        model = Family
        fields = ["name", "note"]

    def siblings(self) -> object:
        """The maker's families."""
        return Family.objects.filter(maker=self.instance.maker)


class LabourForm(UniqueInShop, DeskModelForm):
    """A row of the labour table."""

    unique_field = "code"
    unique_words = "Another row of the labour table has this code."
    MINUTES = ("low_minutes", "typical_minutes", "high_minutes")

    class Meta:
        model = LabourTask
        fields = ["code", "name", "low_minutes", "typical_minutes", "high_minutes", "note"]
        labels = {
            "low_minutes": "Low (minutes)",
            "typical_minutes": "Typical (minutes)",
            "high_minutes": "High (minutes)",
        }
        help_texts = {"code": "As on the paper list: T01, T02 …"}

    def __init__(self, *args: object, shop: Shop, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.instance.shop = shop
        for name in self.MINUTES:
            field = self.fields[name]
            field.validators.append(_at_most(LONGEST_TASK_MIN))

    def clean(self) -> dict[str, object]:
        """Minutes rise from low over typical to high."""
        facts = super().clean()
        low, typical, high = (facts.get(name) for name in self.MINUTES)
        if low is not None and typical is not None and typical < low:
            self.add_error("typical_minutes", f"Typical cannot be less than low ({low}).")
        if typical is not None and high is not None and high < typical:
            self.add_error("high_minutes", f"High cannot be less than typical ({typical}).")
        return facts


def _at_most(minutes: int) -> object:
    def check(value: int) -> None:
        if value > minutes:
            raise forms.ValidationError(
                f"{value} minutes is more than any task takes; {minutes} is the most."
            )

    return check
