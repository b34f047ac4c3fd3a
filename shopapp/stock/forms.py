"""Forms of parts, counts and suppliers."""

from django import forms

from shopapp.accounts.models import Shop
from shopapp.catalog.models import Part, Supplier
from shopapp.roles import may
from shopapp.stock.counts import MOST_PIECES
from shopapp.ui.forms import CentsField, DeskForm, DeskModelForm, PickField


class PartForm(DeskModelForm):
    """A part as the catalogue has it; its cost is for those who may see costs."""

    price_cents = CentsField(label="Price", required=False, help_text="Empty: cannot be bought.")
    cost_cents = CentsField(label="Cost", required=False, help_text="What the shop pays.")
    supplier = PickField("suppliers", label="Supplier", required=False)
    superseded_by = PickField(
        "parts", label="Superseded by", required=False, help_text="The part that is sold now."
    )

    class Meta:
        model = Part
        fields = [
            "number", "name", "kind", "fuse_ma", "cable_ft", "use", "size", "pieces",
            "price_cents", "cost_cents",
            "supplier", "barcode", "superseded_by", "note",
        ]  # fmt: skip
        labels = {"number": "Part number", "barcode": "Bar code", "name": "What it is"}
        help_texts = {
            "fuse_ma": "For a fuse: 10 A is 10000.",
            "cable_ft": "For a network cable.",
        }

    def __init__(self, *args: object, shop: Shop, user: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.instance.shop = shop
        self.fields["pieces"].required = False
        self.kind_before = self.instance.kind
        if not may(user, "catalog.costs"):
            del self.fields["cost_cents"]

    def clean_number(self) -> str:
        """A number is in the catalogue once."""
        number = self.cleaned_data["number"].strip()
        others = Part.objects.of(self.instance.shop).exclude(pk=self.instance.pk)
        same = others.filter(number__iexact=number).first()
        if same:
            raise forms.ValidationError(f"{same.number} is in the catalogue already: {same.name}.")
        return number

    def clean_kind(self) -> str:
        """A part that models or cables need as what it is stays what it is."""
        kind = self.cleaned_data["kind"]
        if self.instance.pk and kind != self.kind_before and _is_needed(self.instance):
            word = Part.PartKind(self.kind_before).label.lower()
            raise forms.ValidationError(
                f"Models or boats need it as {word}. Add another part instead of turning this one."
            )
        return kind

    def clean(self) -> dict[str, object]:
        """A fuse has its rating, a cable its length, and no other part has either."""
        facts = super().clean()
        facts["pieces"] = facts.get("pieces") or 1
        kind = facts.get("kind")
        for name, owner, word in [
            ("fuse_ma", Part.PartKind.FUSE, "A fuse needs its rating in mA."),
            ("cable_ft", Part.PartKind.CABLE, "A network cable needs its length in feet."),
        ]:
            if kind == owner and name not in self.errors and not facts.get(name):
                self.add_error(name, word)
            if kind and kind != owner:
                facts[name] = None
        _check_most(self, "fuse_ma", 400_000, "400 A is the most; write milliamperes.")
        _check_most(self, "cable_ft", 500, "500 ft is the most.")
        return facts


def _check_most(form: forms.BaseForm, name: str, most: int, words: str) -> None:
    if (form.cleaned_data.get(name) or 0) > most:
        form.add_error(name, words)


def _is_needed(part: Part) -> bool:
    return (
        part.adapter_for.exists()
        or part.lead_for.exists()
        or part.cables.exists()
        or hasattr(part, "model")
    )


class CountForm(DeskForm):
    """What was counted at a place, and why the figure changes."""

    place = forms.CharField(
        label="Shelf, bin or van",
        max_length=40,
        widget=forms.TextInput({"list": "places", "autocomplete": "off"}),
    )
    on_hand = forms.IntegerField(
        label="Pieces there",
        min_value=0,
        max_value=MOST_PIECES,
        error_messages={
            "min_value": "A shelf never holds less than none.",
            "max_value": f"More than {MOST_PIECES:,} of one part cannot be right: count again.",
        },
    )
    reason = forms.CharField(
        label="Why", max_length=100, help_text="Counted, broken, found, moved from the van …"
    )


class SupplierForm(DeskModelForm):
    """Where the shop buys."""

    class Meta:
        model = Supplier
        fields = ["name", "phone", "email", "account_number", "lead_days"]
        labels = {
            "account_number": "Our account number",
            "lead_days": "Days until it is here",
            "email": "E-mail",
        }

    def __init__(self, *args: object, shop: Shop, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.instance.shop = shop

    def clean_name(self) -> str:
        """A supplier stands in the list once."""
        name = self.cleaned_data["name"]
        others = Supplier.objects.of(self.instance.shop).exclude(pk=self.instance.pk)
        if others.filter(name__iexact=name).exists():
            raise forms.ValidationError("This supplier is in the list already.")
        return name

    def clean_lead_days(self) -> int:
        """At most a year."""
        days = self.cleaned_data["lead_days"]
        if days > 365:
            raise forms.ValidationError("More than a year: write the days until a part is here.")
        return days
