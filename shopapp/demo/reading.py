"""What the demo's boats are filled from, and how rows are written in bulk."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import Any

from django.db import connection
from django.db.models import JSONField, Model

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat
from shopapp.catalog.models import EquipmentModel, Part, Release
from shopapp.demo.boat_plans import BoatPlan
from shopapp.demo.catalogue import DATA

CABLE_FEET = (5, 10, 15, 20, 30)
Plans = list[tuple[Boat, BoatPlan]]


@dataclass(slots=True)
class Catalogue:
    """What boats are filled from, read once."""

    models: dict[str, EquipmentModel]
    releases: dict[tuple[int, str], Release]
    cables: dict[int, Part]
    words: dict[str, Any]
    by: User
    today: date
    full_evidence: bool = True


def read_catalogue(*, shop: Shop, by: User, today: date) -> Catalogue:
    """The shop's catalogue as dictionaries."""
    return Catalogue(
        models={model.code: model for model in EquipmentModel.objects.of(shop)},
        releases={
            (release.model_id, release.name): release
            for release in Release.objects.filter(model__shop=shop)
        },
        cables={part.cable_ft: part for part in Part.objects.of(shop).filter(kind="cable")},
        words=json.loads((DATA / "words.json").read_text(encoding="utf-8")),
        by=by,
        today=today,
    )


def save_all(kind: type[Model], rows: Iterable[Model]) -> list[Any]:
    """Write rows in bounded batches; the rows, with their keys.

    PostgreSQL takes them by COPY, which asks for about half the time of inserts.
    """
    save = copy_rows if connection.vendor == "postgresql" else kind.objects.bulk_create
    rows = iter(rows)
    written: list[Any] = []
    while chunk := list(islice(rows, 2000)):
        written += save(chunk)
    return written


def copy_rows(rows: list[Any]) -> list[Any]:
    """Write fresh rows of one kind by COPY, under keys drawn from the table's own series."""
    meta = rows[0]._meta
    table = connection.ops.quote_name(meta.db_table)
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT nextval(pg_get_serial_sequence(%s, %s)) FROM generate_series(1, %s)",
            [table, meta.pk.column, len(rows)],
        )
        for row, (key,) in zip(rows, cursor.fetchall(), strict=True):
            row.pk = key
            row._prepare_related_fields_for_save(operation_name="copy")
        columns = ", ".join(connection.ops.quote_name(f.column) for f in meta.concrete_fields)
        fields = [(f.attname, isinstance(f, JSONField)) for f in meta.concrete_fields]
        with cursor.copy(f"COPY {table} ({columns}) FROM STDIN") as copy:
            for row in rows:
                copy.write_row([_value(row, name, as_json=as_json) for name, as_json in fields])
    for row in rows:
        row._state.adding, row._state.db = False, "default"
    return rows


def _value(row: Model, name: str, *, as_json: bool) -> Any:
    value = getattr(row, name)
    return json.dumps(value) if as_json and value is not None else value
