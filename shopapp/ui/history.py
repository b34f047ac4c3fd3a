"""Who changed what, and when: read from the records that every change leaves."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from django.db import models

from shopapp.ui.templatetags.ui import day, moment

WORDS = {"+": "Added", "~": "Changed", "-": "Removed"}
NOTHING = "nothing"
MAX_SHOWN = 200


@dataclass(frozen=True)
class Change:
    """One change: `fields` holds (label, before, after) as words."""

    when: datetime
    who: str
    what: str
    fields: list[tuple[str, str, str]] = field(default_factory=list)


def changes_of(obj: models.Model, limit: int = 50) -> list[Change]:
    """The latest changes of one row, newest first.

    One query for the records, and one for each kind of row that a change speaks of.
    """
    records = list(
        obj.history.select_related("history_user").order_by("-history_date", "-history_id")[
            : limit + 1
        ]
    )
    columns = [column for column in _columns(records) if not column.primary_key]
    names = _names(records, columns)
    # A row written in bulk has no history at all.
    pairs = zip(records, [*records[1:], None], strict=False)
    changes = [_change(now, before, columns, names) for now, before in pairs][:limit]
    # A save that changed nothing is no change.
    return [change for change in changes if change.fields or change.what != WORDS["~"]]


def changes_among(
    rows: models.QuerySet, *, label: Callable[[Any], str], limit: int = 100
) -> list[Change]:
    """The latest changes of many rows of one kind, newest first, each naming its row.

    `rows` are history records (`Release.history.filter(model_id=…)`); `label` names
    the row of a record. As many queries as `changes_of` needs for one row.
    """
    records = list(
        rows.select_related("history_user").order_by("-history_date", "-history_id")[:limit]
    )
    columns = [column for column in _columns(records) if not column.primary_key]
    names = _names(records, columns)
    before: dict[Any, Any] = {}
    found = []
    for record in reversed(records):
        change = _change(record, before.get(record.id), columns, names)
        before[record.id] = record
        found.append(replace(change, what=f"{change.what} {label(record)}"))
    return found[::-1]


def _columns(records: list[models.Model]) -> list[models.Field]:
    return list(records[0].tracked_fields) if records else []


def _names(records: Iterable[Any], columns: Iterable[models.Field]) -> dict[type, dict[Any, str]]:
    wanted: dict[type, set[Any]] = {}
    for column in columns:
        if column.is_relation:
            numbers = {getattr(record, column.attname) for record in records}
            if len(numbers) > 1:
                wanted.setdefault(column.related_model, set()).update(numbers - {None})
    return {
        model: {pk: str(row) for pk, row in model._base_manager.in_bulk(numbers).items()}
        for model, numbers in wanted.items()
        if numbers
    }


def _change(now: Any, before: Any, columns: list[models.Field], names: dict) -> Change:
    fields = []
    if before is not None and now.history_type == "~":
        fields = [
            (
                str(column.verbose_name).capitalize(),
                _words(before, column, names),
                _words(now, column, names),
            )
            for column in columns
            if getattr(before, column.attname) != getattr(now, column.attname)
        ]
    who = str(now.history_user) if now.history_user else "the system"
    return Change(now.history_date, who, WORDS[now.history_type], fields)


def _words(record: Any, column: models.Field, names: dict) -> str:
    value = getattr(record, column.attname)
    if value is None or value == "":
        return NOTHING
    if column.is_relation:
        return names.get(column.related_model, {}).get(value, f"number {value}, since removed")
    if column.choices:
        return str(dict(column.flatchoices).get(value, value))
    return _plain(value)


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return moment(value)
    if hasattr(value, "isoformat"):
        return day(value) if hasattr(value, "year") else value.isoformat()
    text = str(value)
    return text if len(text) <= MAX_SHOWN else f"{text[:MAX_SHOWN]}…"
