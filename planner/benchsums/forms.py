"""One small form a sum, made from the engine's register."""

import math
from typing import Any

from django import forms

from planner.benchsums.words import CHOICES, FIRST, INPUTS, OF_SUM, Label
from planner.engine.sums import SUMS, Quantity, Sum, SumFault
from shopapp.ui.forms import DeskForm, FigureInput

ONE_WAY = {"round_trip_ft": "one_way_ft", "both_ways_m": "one_way_m"}
"""Asked one way, counted there and back."""
BOTH_WAYS = "Counted there and back: "
LONGEST_TEXT = 1000
LONGEST_LIST = 400
NOT_A_NUMBER = "Write a number, for example 12.5."
SOUND = {"number": 1, "whole": 2, "text": "unknown", "numbers": [10]}
"""Stands in for a refused input while the others are looked at, so that all errors show at once."""


class WholeOrFloat(forms.FloatField):
    """A number as it was typed: 10000 stays 10000, not 10000.0."""

    def to_python(self, value: Any) -> float | int | None:
        """A whole number as one."""
        return plain_number(super().to_python(value))


def plain_number(number: float | None) -> float | int | None:
    """A whole number without its idle zero."""
    whole = number is not None and math.isfinite(number) and number == int(number)
    return int(number) if whole else number


class NumbersField(forms.CharField):
    """Numbers with commas (or spaces) between, as a list."""

    widget = FigureInput

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=LONGEST_LIST, **kwargs)

    def clean(self, value: Any) -> list[float]:
        """The list; what is no number is named."""
        words = super().clean(value).replace(",", " ").replace(";", " ").split()
        return [self._number(word) for word in words]

    def _number(self, word: str) -> float:
        try:
            return plain_number(float(word))
        except ValueError as error:
            raise forms.ValidationError(f"{word[:40]} is not a number.") from error


class SumForm(DeskForm):
    """The inputs of one sum; `given` is what the engine asks for."""

    sum: Sum

    def given(self) -> dict[str, Any]:
        """The inputs under the engine's names, runs there and back."""
        given = {}
        for quantity in self.sum.inputs:
            value = self.cleaned_data.get(field_name(quantity))
            if quantity.optional and value in {None, ""}:
                continue
            given[quantity.name] = value * 2 if quantity.name in ONE_WAY else value
        return given

    def put_fault(self, fault: SumFault) -> None:
        """The engine's refusal beside its field."""
        name = fault.field.split("[")[0].split(".")[0]
        words = fault.message
        if name in ONE_WAY:
            name, words = ONE_WAY[name], f"{BOTH_WAYS}{words}"
        place = _place_words(fault.field)
        self.add_error(name if name in self.fields else None, f"{place}{words}")


def all_faults(each: Sum, given: dict[str, Any]) -> list[SumFault]:
    """Every input that the engine refuses, one after the other."""
    kinds = {quantity.name: quantity.kind for quantity in each.inputs}
    faults: list[SumFault] = []
    tried = dict(given)
    for _input in each.inputs:
        try:
            each.run(tried)
        except SumFault as fault:
            faults.append(fault)
            name = fault.field.split("[")[0].split(".")[0]
            if kinds.get(name) not in SOUND or any(known.field == name for known in faults[:-1]):
                break
            tried[name] = SOUND[kinds[name]]
        else:
            break
    return faults


def _place_words(field: str) -> str:
    if "[" not in field:
        return ""
    return f"Number {int(field.split('[')[1].split(']', maxsplit=1)[0]) + 1} of the list: "


def field_name(quantity: Quantity) -> str:
    """The form's name of an input: runs are asked one way."""
    return ONE_WAY.get(quantity.name, quantity.name)


def label_of(name: str, field: str) -> Label:
    """The words of a field, those of this sum first."""
    return OF_SUM.get((name, field), INPUTS[field])


def form_of(name: str) -> type[SumForm]:
    """The form class of a sum whose inputs are single fields."""
    each = SUMS[name]
    fields = {field_name(quantity): _field(name, quantity) for quantity in each.inputs}
    return type(f"{name.title().replace('_', '')}Form", (SumForm,), {**fields, "sum": each})


def _field(name: str, quantity: Quantity) -> forms.Field:
    words = label_of(name, field_name(quantity))
    facts = {
        "label": words.label,
        "help_text": words.help,
        "required": not quantity.optional,
        "initial": quantity.default if quantity.optional else FIRST.get(quantity.name),
    }
    return _MAKERS[quantity.kind](quantity, facts)


def _number(_quantity: Quantity, facts: dict[str, Any]) -> forms.Field:
    return WholeOrFloat(error_messages={"invalid": NOT_A_NUMBER}, **facts)


def _whole(_quantity: Quantity, facts: dict[str, Any]) -> forms.Field:
    words = "Write a whole number, for example 2."
    # Digits past 15 are no count of anything; a float would round them without a word.
    return forms.IntegerField(
        max_value=10**15,
        error_messages={"invalid": words, "max_value": "That is too much."},
        **facts,
    )


def _flag(_quantity: Quantity, facts: dict[str, Any]) -> forms.Field:
    return forms.BooleanField(**{**facts, "required": False})


def _choice(quantity: Quantity, facts: dict[str, Any]) -> forms.Field:
    choices = [(each, CHOICES.get(each, each)) for each in quantity.choices]
    return forms.TypedChoiceField(
        choices=choices,
        coerce=type(quantity.choices[0]),
        empty_value=None,
        error_messages={"invalid_choice": "%(value)s is not known: pick one from the list."},
        **facts,
    )


def _text(_quantity: Quantity, facts: dict[str, Any]) -> forms.Field:
    return forms.CharField(max_length=LONGEST_TEXT, **facts)


def _numbers(_quantity: Quantity, facts: dict[str, Any]) -> forms.Field:
    return NumbersField(**facts)


_MAKERS = {
    "number": _number,
    "whole": _whole,
    "flag": _flag,
    "choice": _choice,
    "text": _text,
    "numbers": _numbers,
}
