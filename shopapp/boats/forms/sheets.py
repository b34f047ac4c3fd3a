"""What all survey sheets share: rows known by number, changes told from what is on record."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.forms import BaseFormSet, formset_factory

from shopapp.boats.services.places import Row
from shopapp.ui.forms import DeskForm

GONE = "This row is gone: somebody removed it meanwhile. Strike it, or copy it to a new row."
Known = Mapping[int, Mapping[str, Any]]


class RowForm(DeskForm):
    """A row of a sheet; `known` maps numbers of rows on record to their values.

    Changes are told against what is on record under the row's own number, not
    against the place in the sheet, which another person's save may have moved.
    """

    pk = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, known: Known | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.known = known or {}
        if self.is_bound:
            text = self.data.get(self.add_prefix("pk"), "")
            number = int(text) if text.isascii() and text.isdigit() else None
            self.initial = dict(self.known.get(number, {}))

    def clean_pk(self) -> int | None:
        """The number must be one of this sheet."""
        number = self.cleaned_data["pk"]
        if number is not None and number not in self.known:
            self.add_error(None, GONE)
        return number

    @property
    def is_blank(self) -> bool:
        """Whether nothing was typed into a new row."""
        return not self.has_changed() and not self.initial

    def values(self) -> dict[str, Any]:
        """The row's values by the names that the service knows."""
        return {
            name: self.cleaned_data.get(name)
            for name in self.fields
            if name not in {"pk", "DELETE"}
        }

    def changed(self) -> frozenset[str]:
        """Which of them differ from what is on record."""
        return frozenset(self.changed_data) - {"pk", "DELETE"}


class BaseSheet(BaseFormSet):
    """Rows of one kind."""

    deletion_widget = forms.CheckboxInput

    def full_clean(self) -> None:
        """Check all; the first cell with an error takes the focus."""
        super().full_clean()
        for form in self.kept if self.is_bound else ():
            wrong = [name for name in form.fields if name in form.errors and name != "pk"]
            if wrong:
                form.fields[wrong[0]].widget.attrs["autofocus"] = True
                return

    @property
    def struck(self) -> list[RowForm]:
        """The rows struck out."""
        return [form for form in self.forms if self._should_delete_form(form)]

    @property
    def kept(self) -> list[RowForm]:
        """The rows filled in and not struck."""
        struck = {id(form) for form in self.struck}
        return [form for form in self.forms if id(form) not in struck and not form.is_blank]

    def rows(self) -> list[Row]:
        """What the service takes: kept rows in order, then struck ones that are on record."""
        rows = [
            Row(form.cleaned_data.get("pk"), form.values(), form.changed()) for form in self.kept
        ]
        numbers = [form.initial.get("pk") for form in self.struck]
        return rows + [Row(number, {}, struck=True) for number in numbers if number]

    def say_once(self, name: str, words: str) -> None:
        """Put an error beside every value that stands above already."""
        seen: set[str] = set()
        for form in self.kept:
            value = str(form.cleaned_data.get(name) or "").casefold()
            if value and value in seen:
                form.add_error(name, words)
            seen.add(value)

    def refuse_strike(self, form: RowForm, words: str) -> None:
        """Let a struck row stand again, with the reason beside its name."""
        form.cleaned_data["DELETE"] = False
        form.data = form.data.copy()
        form.data.pop(form.add_prefix("DELETE"), None)
        form.add_error("name", words)

    def mark_differences(self) -> None:
        """Say beside each changed cell what is on record now."""
        for form in self.kept:
            for name in form.changed() if form.initial else ():
                bound = form[name]
                form.add_error(name, f"On record now: {_words(bound) or 'nothing'}.")


def _words(bound: forms.BoundField) -> str:
    value = bound.field.prepare_value(bound.initial)
    label_for = getattr(bound.field.widget, "label_for", None)
    if label_for:
        return label_for(value)
    for key, label in getattr(bound.field, "choices", ()):
        pairs = label if isinstance(label, list | tuple) else [(key, label)]
        for found, words in pairs:
            if str(found) == str(value or ""):
                return str(words)
    return "" if value is None else str(value)


def sheet_of(
    form: type[RowForm],
    formset: type[BaseSheet],
    *,
    prefix: str,
    data: Any,
    known: Known,
    extra: int = 1,
    **form_kwargs: Any,
) -> BaseSheet:
    """A sheet of a boat's rows on record, with empty rows below."""
    made = formset_factory(form, formset=formset, extra=extra, can_delete=True, max_num=300)
    return made(
        data,
        prefix=prefix,
        initial=None if data is not None else list(known.values()),
        form_kwargs={"known": known, **form_kwargs},
    )
