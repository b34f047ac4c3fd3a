"""Many boats out of some, by the database itself: what Python drew is copied under new numbers.

PostgreSQL only. The rows of one drawing lie under consecutive keys, so that each copy is the same
rows with every key moved on by the length of the drawing.
"""

from dataclasses import dataclass
from math import ceil

from django.db import ProgrammingError, connection, transaction
from django.db.backends.utils import CursorWrapper
from django.db.models import Field, ForeignKey, Max, Min, Model

from shopapp.boats.models import (
    Backbone,
    Bank,
    Boat,
    Cable,
    CableEnd,
    Drop,
    Evidence,
    Feed,
    Location,
    Ownership,
    Route,
    Segment,
    Tee,
    Unit,
)
from shopapp.customers.models import Customer, Phone

DRAWN = 4000
# Each after those that it points at.
TABLES: tuple[type[Model], ...] = (
    Customer, Phone, Boat, Ownership, Location, Route, Bank, Unit, Cable, CableEnd, Backbone, Tee,
    Segment, Drop, Feed, Evidence,
)  # fmt: skip
# What tells a copy from its original; %s is the column.
TOLD_APART = {
    (Customer, "name"): "%s || ' ' || n",
    (Customer, "search"): "%s || ' ' || n",
    (Boat, "name"): "%s || ' ' || n",
    (Boat, "search"): "%s || ' ' || n",
    (Boat, "hull_number"): "overlay(%s placing lpad(n::text, 3, '0') from 4 for 3)",
    (Boat, "hull_number_read"): "overlay(%s placing lpad(n::text, 3, '0') from 4 for 3)",
    (Unit, "serial"): "%s || '-' || n",
}


@dataclass(frozen=True)
class Drawing:
    """How many boats are drawn, how often that is copied, and how many are drawn on top."""

    drawn: int
    copies: int
    rest: int


def drawing_of(boats: int) -> Drawing:
    """Split a number of boats: all drawn up to a few thousand, or where no copy is possible."""
    if boats <= DRAWN or connection.vendor != "postgresql":
        return Drawing(boats, 0, 0)
    sheets = ceil(boats / DRAWN)
    drawn = boats // sheets
    return Drawing(drawn, sheets - 1, boats - drawn * sheets)


def last_keys() -> dict[type[Model], int]:
    """The last key of each table of boats; 0 where it is empty."""
    return {kind: kind.objects.aggregate(last=Max("pk"))["last"] or 0 for kind in TABLES}


def copy_boats(*, after: dict[type[Model], int], copies: int) -> None:
    """Copy every row of boats behind the keys `after` so many times."""
    spans = {}
    for kind in TABLES:
        rows = kind.objects.filter(pk__gt=after[kind])
        ends = rows.aggregate(first=Min("pk"), last=Max("pk"))
        if ends["first"] is not None:
            spans[kind] = ends["last"] - ends["first"] + 1
    with connection.cursor() as cursor:
        trusted = _trust_keys(cursor)
        for kind in spans:
            cursor.execute(_statement(kind, spans), [copies, after[kind]])
            table = connection.ops.quote_name(kind._meta.db_table)
            last = f"SELECT max(id) FROM {table}"  # noqa: S608 -- the table's own name
            cursor.execute(
                f"SELECT setval(pg_get_serial_sequence(%s, 'id'), ({last}))", [kind._meta.db_table]
            )
        if trusted:
            cursor.execute("SET LOCAL session_replication_role = DEFAULT")


def _trust_keys(cursor: CursorWrapper) -> bool:
    """Keys moved on together point where they should: PostgreSQL need not look each one up.

    Only its superuser may say so; for others (False) every key is looked up at the commit.
    """
    try:
        with transaction.atomic():
            cursor.execute("SET LOCAL session_replication_role = replica")
    except ProgrammingError:
        return False
    return True


def _statement(kind: type[Model], spans: dict[type[Model], int]) -> str:
    fields = kind._meta.concrete_fields
    table = connection.ops.quote_name(kind._meta.db_table)
    columns = ", ".join(connection.ops.quote_name(field.column) for field in fields)
    values = ", ".join(_moved(kind, field, spans) for field in fields)
    return (
        f"INSERT INTO {table} ({columns}) SELECT {values} FROM {table}, "  # noqa: S608 -- names only
        "generate_series(1, %s) AS copies(n) WHERE id > %s"
    )


def _moved(kind: type[Model], field: Field, spans: dict[type[Model], int]) -> str:
    column = connection.ops.quote_name(field.column)
    target = kind if field.primary_key else None
    if isinstance(field, ForeignKey):
        target = field.related_model
    if target in spans:
        return f"{column} + n * {spans[target]}"
    return TOLD_APART.get((kind, field.name), "%s").replace("%s", column)
