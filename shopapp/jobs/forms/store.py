"""Forms of the store: staging, issuing, leftovers, shortages and purchase orders."""

from collections.abc import Iterator
from uuid import uuid4

from django import forms

from shopapp.accounts.models import Shop
from shopapp.catalog.models import Supplier
from shopapp.errors import FactRefused
from shopapp.jobs.models.picking import MOST_TOTES
from shopapp.jobs.services.leftovers import WAYS
from shopapp.jobs.services.shortages import Shortage, SupplierGroup, Want
from shopapp.jobs.totes import ALWAYS_IN_THE_TOTE
from shopapp.stock.models import PurchaseLine
from shopapp.stock.models.orders import MOST_ORDERED
from shopapp.stock.receiving import GOODS_IN, Box, Delivery
from shopapp.ui.forms import CentsField, DeskForm, PickField

TOO_MANY = f"From 1 to {MOST_ORDERED:,} pieces: this cannot be right."


class StageForm(DeskForm):
    """Checked by eye: how many totes, what is in each of them, why something is missing."""

    totes = forms.IntegerField(label="Totes", min_value=1, max_value=MOST_TOTES, initial=1)
    extras = forms.MultipleChoiceField(
        label="Always in the tote",
        choices=list(ALWAYS_IN_THE_TOTE.items()),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    extras_why = forms.CharField(
        label="Why one of these is left out", max_length=120, required=False
    )
    split_reason = forms.CharField(
        label="Why it goes without all parts",
        max_length=120,
        required=False,
        help_text="Only where a second visit is agreed.",
    )


class IssueForm(DeskForm):
    """Into whose hands."""

    to = forms.CharField(label="Given to", max_length=120)


class BackForm(DeskForm):
    """What became of pieces that were not used."""

    count = forms.IntegerField(label="Pieces", min_value=1)
    way = forms.ChoiceField(label="Where it goes", choices=list(WAYS.items()))
    place = forms.CharField(label="Shelf or van", max_length=40, required=False)
    reason = forms.CharField(label="Note", max_length=100, required=False)


class ShortagesForm(DeskForm):
    """How many of each short part to order, and of whom."""

    def __init__(self, *args: object, shop: Shop, groups: list[SupplierGroup], **kwargs: object):
        super().__init__(*args, **kwargs)
        self.groups = groups
        suppliers = shop.suppliers.filter(retired_at=None)
        choices = [("", "Pick one"), *((row.pk, row.name) for row in suppliers)]
        self.by_pk: dict[str, Supplier] = {str(row.pk): row for row in suppliers}
        for row in self.shortages():
            self._add(row, choices)

    def shortages(self) -> Iterator[Shortage]:
        """Every short part."""
        return (row for group in self.groups for row in group.rows)

    def _add(self, row: Shortage, choices: list) -> None:
        pk, number = row.part.pk, row.part.number
        self.fields[f"part-{pk}"] = forms.IntegerField(
            label=f"Order of {number}",
            min_value=0,
            max_value=MOST_ORDERED,
            required=False,
            initial=row.to_order or None,
            widget=forms.TextInput({"inputmode": "numeric", "class": "figure"}),
            error_messages={"max_value": TOO_MANY, "min_value": TOO_MANY},
        )
        self.fields[f"supplier-{pk}"] = forms.ChoiceField(
            label=f"Supplier of {number}",
            choices=choices,
            required=False,
            initial=row.supplier.pk if row.supplier else "",
        )

    def rows(self) -> list[tuple[SupplierGroup, list[tuple]]]:
        """Each group with its shortages and their two fields."""
        return [
            (
                group,
                [(r, self[f"part-{r.part.pk}"], self[f"supplier-{r.part.pk}"]) for r in group.rows],
            )
            for group in self.groups
        ]

    def clean(self) -> dict[str, object]:
        """What is ordered is ordered of somebody."""
        facts = super().clean()
        for row in self.shortages():
            name = f"supplier-{row.part.pk}"
            if facts.get(f"part-{row.part.pk}") and not facts.get(name):
                self.add_error(name, "Say of whom.")
        return facts

    def wants(self) -> list[Want]:
        """What to order."""
        return [
            Want(row.part, self.by_pk[self.cleaned_data[f"supplier-{row.part.pk}"]], count)
            for row in self.shortages()
            if (count := self.cleaned_data.get(f"part-{row.part.pk}"))
        ]


class OrderForm(DeskForm):
    """Whom to order of."""

    supplier = PickField("suppliers", label="Supplier")


class OrderLineForm(DeskForm):
    """One more part on a draft."""

    part = PickField("parts", label="Part")
    quantity = forms.IntegerField(
        label="Pieces",
        min_value=1,
        max_value=MOST_ORDERED,
        error_messages={"max_value": TOO_MANY, "min_value": TOO_MANY},
    )
    unit_cents = CentsField(
        label="Price of one", required=False, help_text="Empty: as the supplier's list says."
    )


class ChangeLineForm(DeskForm):
    """Another quantity or price on a draft."""

    quantity = OrderLineForm.base_fields["quantity"]
    unit_cents = CentsField(label="Price of one", required=False)


class SendForm(DeskForm):
    """How the order goes out: by e-mail from here, or some other way."""

    by_mail = forms.BooleanField(label="E-mail it", required=False)
    note = forms.CharField(
        label="How it was sent otherwise",
        max_length=200,
        required=False,
        help_text="Portal, phone, by hand.",
    )

    def __init__(self, *args: object, to: str = "", **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        if to:
            self.fields["by_mail"].label = f"E-mail it with its PDF to {to}"
            self.fields["by_mail"].initial = True
        else:
            del self.fields["by_mail"]


class ConfirmForm(DeskForm):
    """What the supplier confirmed."""

    promised_on = forms.DateField(label="Promised for")
    said_by = forms.CharField(label="Who said so", max_length=80)
    supplier_ref = forms.CharField(label="Their order number", max_length=40, required=False)


class PromiseForm(DeskForm):
    """A new promise for one line."""

    promised_on = forms.DateField(label="Promised for")
    said_by = forms.CharField(label="Who said so", max_length=80)
    note = forms.CharField(label="Note", max_length=120, required=False)


class EndForm(DeskForm):
    """Why an order ends before all of it came."""

    note = forms.CharField(label="Why", max_length=200, required=False)


def fresh_key() -> str:
    """A name for one sending of a form, so that it counts once."""
    return uuid4().hex


class ReceiveForm(DeskForm):
    """What came of one line."""

    good = forms.IntegerField(label="Good pieces", min_value=0, max_value=100_000)
    damaged = forms.IntegerField(
        label="Damaged pieces", min_value=0, max_value=100_000, required=False
    )
    boxes = forms.CharField(
        label="Serials",
        required=False,
        max_length=20_000,
        widget=forms.Textarea({"rows": 4, "autocomplete": "off", "spellcheck": "false"}),
        help_text="One box a line: serial, then firmware and region where the box shows them, "
        "with commas between.",
    )
    came_as = PickField(
        "parts",
        label="The label says another part",
        required=False,
        help_text="A wrong suffix is another model: pick what it really is.",
    )
    place = forms.CharField(label="Put at", max_length=40, initial=GOODS_IN)
    delivery_note = forms.CharField(label="Delivery note", max_length=40, required=False)
    note = forms.CharField(label="Note", max_length=200, required=False)
    key = forms.CharField(widget=forms.HiddenInput, max_length=40, initial=fresh_key)

    def __init__(self, *args: object, line: PurchaseLine, **kwargs: object) -> None:
        kwargs.setdefault("initial", {"good": line.outstanding})
        super().__init__(*args, **kwargs)

    def delivery(self) -> Delivery:
        """What came, as the service wants it; `FactRefused` beside `boxes` for a line unread."""
        facts = self.cleaned_data
        return Delivery(
            good=facts["good"],
            damaged=facts["damaged"] or 0,
            boxes=[_box(number, row) for number, row in enumerate(self._lines(), 1)],
            came_as=facts["came_as"],
            place=facts["place"],
            delivery_note=facts["delivery_note"],
            note=facts["note"],
            key=facts["key"],
        )

    def _lines(self) -> list[str]:
        return [row for row in self.cleaned_data["boxes"].splitlines() if row.strip()]


def _box(number: int, text: str) -> Box:
    words = [word.strip() for word in text.split(",")]
    if len(words) > 3:
        raise FactRefused(f"Box {number}: serial, firmware, region; no more.", field="boxes")
    return Box(*words)


class SerialForm(DeskForm):
    """A serial put right."""

    serial = forms.CharField(label="Serial on the box", max_length=60)
    reason = forms.CharField(label="Why it changes", max_length=80)
