"""Sums whose inputs are rows: a backbone, and cables among switches."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms import BaseFormSet, formset_factory
from django.http import HttpRequest, QueryDict

from planner.benchsums.forms import NOT_A_NUMBER, WholeOrFloat, label_of
from planner.benchsums.words import CHOICES
from planner.engine.sums import SumFault
from planner.engine.sums.bus import CABLE_OHM_PER_M
from shopapp.ui.forms import DeskForm

MOST_ROWS = 200
BETWEEN = "~"
"""Stands between the cells of a row in an address."""
NO_SIGN = f"Leave out the sign {BETWEEN}: it is used in the address of this page."


@dataclass(frozen=True, slots=True)
class RowKind:
    """A list of a sum: the address's key, title, and its columns by kind."""

    field: str
    key: str
    title: str
    one: str
    columns: tuple[tuple[str, str], ...]


KINDS: dict[str, tuple[RowKind, ...]] = {
    "backbone": (
        RowKind(
            "segments",
            "s",
            "Backbone, tee to tee",
            "Add a segment",
            (("from", "name"), ("to", "name"), ("metres", "number")),
        ),
        RowKind(
            "drops",
            "d",
            "Drops",
            "Add a drop",
            (("tee", "name"), ("metres", "number"), ("unit", "name"), ("len", "whole")),
        ),
        RowKind("feeds", "f", "Feeds", "Add a feed", (("tee", "name"), ("volts", "number"))),
    ),
    "ethernet_loops": (
        RowKind("links", "l", "Cables", "Add a cable", (("from", "name"), ("to", "name"))),
    ),
}


class BackboneForm(DeskForm):
    """What a backbone has besides rows."""

    cable = forms.ChoiceField(
        choices=[(kind, CHOICES[kind]) for kind in CABLE_OHM_PER_M], initial="light"
    )
    own_ohm_per_m = WholeOrFloat(required=False, error_messages={"invalid": NOT_A_NUMBER})
    ends = forms.CharField(required=False, max_length=400)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            field.label, field.help_text = label_of("backbone", name)

    def given(self) -> dict[str, Any]:
        """Cable and terminators as the engine asks for them."""
        facts = self.cleaned_data
        own = facts["own_ohm_per_m"]
        ends = [word.strip() for word in facts["ends"].split(",")]
        return {
            "terminators": [word for word in ends if word],
            "cable": facts["cable"] if own is None else {"ohm_per_m": own},
        }


_FAULT_FIELDS = {"cable": "cable", "cable.ohm_per_m": "own_ohm_per_m"}


class RowSheet:
    """All the forms of a sum of rows, filled from an address or from what was sent."""

    def __init__(self, name: str, request: HttpRequest) -> None:
        self.name = name
        self.request = request
        self.sent = request.POST if request.method == "POST" else None
        self.asked = self.sent is not None or _is_asked(request.GET, name)
        data = self.sent if self.sent is not None else _as_sent(request.GET, name)
        data = data if self.asked else None
        self.sheets = {kind.field: (kind, _sheet(kind, data, request)) for kind in KINDS[name]}
        self.head = None
        if name == "backbone":
            self.head = BackboneForm(data, request=request)

    def is_valid(self) -> bool:
        """Whether every cell can be read."""
        # Every form is checked, so that all that is wrong shows at once.
        right = [sheet.is_valid() for _kind, sheet in self.sheets.values()]
        if self.head:
            right.append(self.head.is_valid())
        return all(right)

    @property
    def has_rows(self) -> bool:
        """Whether any row is filled."""
        return any(_filled(sheet) for _kind, sheet in self.sheets.values())

    def given(self) -> dict[str, Any]:
        """The rows under the engine's names."""
        rows = {
            field: [_row(kind, form) for form in _filled(sheet)]
            for field, (kind, sheet) in self.sheets.items()
        }
        return rows | (self.head.given() if self.head else {})

    def put_fault(self, fault: SumFault) -> None:
        """The engine's refusal beside its row's field."""
        field = fault.field.split("[")[0]
        if field not in self.sheets or "[" not in fault.field:
            self._put_head(fault)
            return
        number = int(fault.field.split("[")[1].split("]")[0])
        row = _filled(self.sheets[field][1])[number]
        column = fault.field.rpartition(".")[2]
        row.add_error(column if column in row.fields else None, fault.message)

    def query(self) -> str:
        """What was sent, as an address that can be kept and shared."""
        query = QueryDict(mutable=True)
        for kind, sheet in self.sheets.values():
            for form in _filled(sheet):
                query.appendlist(
                    kind.key, BETWEEN.join(_cell(form, name) for name, _ in kind.columns)
                )
        if self.head:
            for name in self.head.fields:
                query[name] = self.head.data.get(name, "")
        return query.urlencode(safe=BETWEEN)

    def _put_head(self, fault: SumFault) -> None:
        if self.head:
            name = "ends" if fault.field.startswith("terminators") else fault.field
            name = _FAULT_FIELDS.get(name, name)
            self.head.add_error(name if name in self.head.fields else None, fault.message)
            return
        form = next(iter(self.sheets.values()))[1].forms[0]
        form.add_error(None, fault.message)


def _cell(form: DeskForm, name: str) -> str:
    return str(form.data.get(form.add_prefix(name), "")).strip()


def _filled(sheet: BaseFormSet) -> list[DeskForm]:
    return [
        form
        for form in sheet.forms
        if form.has_changed() and not (form.is_bound and form.cleaned_data.get("DELETE"))
    ]


def _row(kind: RowKind, form: DeskForm) -> dict[str, Any]:
    return {name: form.cleaned_data[name] for name, _ in kind.columns}


def _is_asked(query: QueryDict, name: str) -> bool:
    return any(kind.key in query for kind in KINDS[name])


def _as_sent(query: QueryDict, name: str) -> QueryDict:
    """An address as the forms would have sent it."""
    data = QueryDict(mutable=True)
    for kind in KINDS[name]:
        rows = query.getlist(kind.key)[:MOST_ROWS]
        data[f"{kind.field}-TOTAL_FORMS"] = str(len(rows) + 1)
        data[f"{kind.field}-INITIAL_FORMS"] = "0"
        for number, row in enumerate(rows):
            cells = row.split(BETWEEN)
            for (column, _), cell in zip(kind.columns, cells, strict=False):
                data[f"{kind.field}-{number}-{column}"] = cell
    for field in BackboneForm.base_fields if name == "backbone" else ():
        data[field] = query.get(field, BackboneForm.base_fields[field].initial or "")
    return data


def address_of(name: str, rows: dict[str, list[dict[str, Any]]], **head: str) -> str:
    """The address of a sheet with these rows; what is not known (None) stays empty."""
    query = QueryDict(mutable=True)
    for kind in KINDS[name]:
        for row in rows[kind.field]:
            cells = ["" if row[column] is None else str(row[column]) for column, _ in kind.columns]
            query.appendlist(kind.key, BETWEEN.join(cell.replace(BETWEEN, "-") for cell in cells))
    query.update(head)
    return query.urlencode(safe=BETWEEN)


def _sheet(kind: RowKind, data: QueryDict | None, request: HttpRequest) -> BaseFormSet:
    fields: dict[str, Any] = {name: _COLUMNS[how]() for name, how in kind.columns}
    for name, field in fields.items():
        field.label = label_of(kind.field, name).label
    form = type(f"{kind.field.title()}Row", (DeskForm,), fields)
    factory = formset_factory(
        form,
        extra=1 if kind.field == "feeds" else 4,
        can_delete=True,
        max_num=MOST_ROWS,
        validate_max=True,
        absolute_max=MOST_ROWS + 5,
    )
    return factory(data, prefix=kind.field, form_kwargs={"request": request})


class _Name(forms.CharField):
    def __init__(self) -> None:
        super().__init__(max_length=60)

    def clean(self, value: Any) -> str:
        text = super().clean(value)
        if BETWEEN in text:
            raise forms.ValidationError(NO_SIGN)
        return text


def _number() -> forms.Field:
    return WholeOrFloat(error_messages={"invalid": NOT_A_NUMBER})


def _whole() -> forms.Field:
    words = {"invalid": "Write a whole number.", "max_value": "That is too much."}
    return forms.IntegerField(max_value=10**15, error_messages=words)


_COLUMNS: dict[str, Callable[[], forms.Field]] = {
    "name": _Name,
    "number": _number,
    "whole": _whole,
}
