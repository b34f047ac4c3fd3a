"""Forms of a quote's lines."""

from typing import Any

from django import forms

from shopapp.catalog.models import LabourTask, Part
from shopapp.jobs.forms.saving import Versioned
from shopapp.jobs.models import QuoteLine
from shopapp.ui.forms import CentsField, DeskForm, PickField

Kinds = QuoteLine.LineKind
FREE_KINDS = [kind for kind in Kinds.choices if kind[0] != Kinds.SUPPLIES]


class AddLineForm(Versioned, DeskForm):
    """A line from a part, from the labour table, or in free words."""

    part = PickField("parts", label="Part", required=False)
    task = PickField("labour", label="Labour task", required=False)
    kind = forms.ChoiceField(label="Or a free line", choices=FREE_KINDS, initial=Kinds.LABOUR)
    description = forms.CharField(label="Words", max_length=200, required=False)
    quantity = forms.IntegerField(min_value=1, max_value=10_000, initial=1)
    minutes = forms.IntegerField(min_value=0, max_value=10_000, required=False)
    price = CentsField(
        label="Price of one",
        required=False,
        help_text="Empty: as in the catalogue; labour: the hour as on the quote.",
    )

    def clean(self) -> dict[str, Any]:
        """Exactly one source; whatever has no price of its own needs one."""
        facts = super().clean()
        part, task = facts.get("part"), facts.get("task")
        if part and task:
            self.add_error("task", "Take a part or a task, not both on one line.")
        elif not (part or task):
            self._check_free(facts)
        if part and part.price_cents is None and facts.get("price") is None:
            self.add_error("price", f"{part.number} has no price in the catalogue: write one.")
        return facts

    def _check_free(self, facts: dict[str, Any]) -> None:
        if not facts.get("description"):
            self.add_error("description", "Pick a part or a task, or write what it is.")
        labour = facts.get("kind") == Kinds.LABOUR
        if labour and not facts.get("minutes"):
            self.add_error("minutes", "Write the minutes of this work.")
        if not labour and facts.get("price") is None:
            self.add_error("price", "Write its price.")

    def facts(self) -> dict[str, Any]:
        """The new row's columns."""
        facts = self.cleaned_data
        if facts["part"]:
            return _of_part(facts["part"], facts)
        if facts["task"]:
            return _of_task(facts["task"], facts)
        return _free(facts)


def _of_part(part: Part, facts: dict[str, Any]) -> dict[str, Any]:
    equipment = part.kind == Part.PartKind.EQUIPMENT
    return {
        "kind": Kinds.EQUIPMENT if equipment else Kinds.SMALL,
        "part": part,
        "description": facts["description"] or f"{part.name} ({part.number})"[:200],
        "quantity": facts["quantity"],
        "unit_cents": part.price_cents if facts["price"] is None else facts["price"],
        "cost_cents": part.cost_cents,
    }


def _of_task(task: LabourTask, facts: dict[str, Any]) -> dict[str, Any]:
    minutes = facts["minutes"]
    return {
        "kind": Kinds.LABOUR,
        "task": task,
        "description": facts["description"] or task.name,
        "minutes": task.typical_minutes * facts["quantity"] if minutes is None else minutes,
        "low_minutes": task.low_minutes * facts["quantity"] if minutes is None else None,
        "high_minutes": task.high_minutes * facts["quantity"] if minutes is None else None,
        "unit_cents": facts["price"] or 0,
    }


def _free(facts: dict[str, Any]) -> dict[str, Any]:
    labour = facts["kind"] == Kinds.LABOUR
    price = facts["price"] or 0
    return {
        "kind": facts["kind"],
        "description": facts["description"],
        "quantity": 1 if labour else facts["quantity"],
        "minutes": facts["minutes"] if labour else 0,
        "unit_cents": -price if facts["kind"] == Kinds.CREDIT else price,
    }


class LineForm(Versioned, DeskForm):
    """Words, quantity or minutes, price and discount of a line."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    description = forms.CharField(label="Words", max_length=200)
    quantity = forms.IntegerField(min_value=1, max_value=10_000)
    minutes = forms.IntegerField(min_value=0, max_value=10_000)
    price = CentsField(label="Price of one")
    discount_percent = forms.DecimalField(
        label="Discount (%)", min_value=0, max_value=100, max_digits=5, decimal_places=2, initial=0
    )
    discount_reason = forms.CharField(
        label="Why the discount",
        max_length=120,
        required=False,
        help_text="The customer reads it on the quote.",
    )

    def __init__(self, *args: Any, line: QuoteLine, **kwargs: Any) -> None:
        super().__init__(*args, initial=_shown(line), **kwargs)
        self.line = line
        labour, credit = line.kind == Kinds.LABOUR, line.kind == Kinds.CREDIT
        gone = ["quantity"] if labour else ["minutes"]
        gone += ["discount_percent", "discount_reason"] if credit else []
        for name in gone:
            del self.fields[name]
        if labour:
            self.fields["price"].label = "Price of an hour"
        if credit:
            self.fields["price"].label = "Comes off"

    def clean(self) -> dict[str, Any]:
        """A discount needs its reason."""
        facts = super().clean()
        if facts.get("discount_percent") and not facts.get("discount_reason"):
            self.add_error("discount_reason", "A discount needs a reason.")
        return facts

    def facts(self) -> dict[str, Any]:
        """The columns to write."""
        facts = {name: value for name, value in self.cleaned_data.items() if name != "version"}
        price = facts.pop("price")
        facts["unit_cents"] = -price if self.line.kind == Kinds.CREDIT else price
        return facts


def _shown(line: QuoteLine) -> dict[str, Any]:
    return {
        "version": line.option.quote.version,
        "description": line.description,
        "quantity": line.quantity,
        "minutes": line.minutes,
        "price": abs(line.unit_cents),
        "discount_percent": line.discount_percent.normalize(),
        "discount_reason": line.discount_reason,
    }


class LeaveOutForm(Versioned, DeskForm):
    """Take a line off the quote, with a reason where the plan needs it."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    why = forms.CharField(label="Why it is left out", max_length=200, required=False)

    def __init__(self, *args: Any, line: QuoteLine, **kwargs: Any) -> None:
        super().__init__(*args, initial={"version": line.option.quote.version}, **kwargs)
        if line.from_plan:
            self.fields["why"].help_text = "The customer reads it, for example: brings an own one."
        else:
            del self.fields["why"]
