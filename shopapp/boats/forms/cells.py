"""The controls of survey sheets: amperes, volts, yes-no-unknown, one of what is aboard."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from shopapp.ui.forms import FigureInput

Option = tuple[str, str, Any]


class ThousandthField(forms.DecimalField):
    """A figure typed in whole units (amperes, volts), kept in thousandths (mA, mV)."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("min_value", Decimal("0.001"))
        kwargs.setdefault("max_digits", 9)
        kwargs.setdefault("decimal_places", 3)
        kwargs.setdefault("required", False)
        kwargs.setdefault("widget", FigureInput({"inputmode": "decimal", "class": "figure"}))
        super().__init__(**kwargs)
        self.error_messages["min_value"] = "Must be more than zero; empty means not known."

    def prepare_value(self, value: Any) -> Any:
        """Thousandths as whole units; what was typed stays as typed."""
        return f"{(Decimal(value) / 1000).normalize():f}" if isinstance(value, int) else value

    def clean(self, value: Any) -> int | None:
        """The figure in thousandths."""
        number = super().clean(str(value).replace(",", ".") if value else value)
        return None if number is None else int(number * 1000)

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare figures."""
        try:
            return initial != self.clean(data)
        except ValidationError:
            return True


class YesNoField(forms.TypedChoiceField):
    """Yes, no, or not known: blank is no answer, and never means no."""

    def __init__(self, *, yes: str = "yes", no: str = "no", **kwargs: Any) -> None:
        kwargs.setdefault("required", False)
        choices = [("", "not known"), ("yes", yes), ("no", no)]
        super().__init__(
            choices=choices, coerce=lambda text: text == "yes", empty_value=None, **kwargs
        )

    def prepare_value(self, value: Any) -> Any:
        """True and False as the words of the list."""
        return {True: "yes", False: "no", None: ""}.get(value, value)

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare words."""
        return self.prepare_value(initial) != (data or "")


class OneOf(forms.ChoiceField):
    """One of the rows laid into it; the cleaned value is the row itself, or None."""

    def __init__(self, *, blank: str = "", gone: str = "", **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.blank = blank
        self.rows: dict[str, Any] = {}
        if gone:
            self.error_messages["invalid_choice"] = gone

    def lay(self, *groups: tuple[str, Iterable[Option]]) -> None:
        """Fill the list: groups of a heading ("" for none) and (key, label, row)."""
        choices: list = [("", self.blank)]
        for heading, given in groups:
            options = list(given)
            self.rows.update({key: row for key, _, row in options})
            pairs = [(key, label) for key, label, _ in options]
            choices += [(heading, pairs)] if heading else pairs
        self.choices = choices

    def clean(self, value: Any) -> Any:
        """The row chosen."""
        key = super().clean(value)
        return self.rows[key] if key else None

    def has_changed(self, initial: Any, data: Any) -> bool:
        """Compare keys."""
        return str(initial or "") != str(data or "")
