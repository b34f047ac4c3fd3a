"""Ask the fleet: which boats meet a question, and what is shown of each."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from itertools import islice
from typing import Any

from django.db.models import (
    Count,
    Exists,
    IntegerField,
    OuterRef,
    Prefetch,
    Q,
    QuerySet,
    Subquery,
)
from django.db.models.functions import Coalesce
from django.utils import timezone

from shopapp.accounts.models import Shop
from shopapp.boats.models import Boat, Evidence, Unit
from shopapp.fleet.models import Gathered
from shopapp.jobs.models import Job, Problem

HERE = OuterRef("pk")
CHUNK = 1000


@dataclass(frozen=True)
class Column:
    """A column of the list: its head, and the text of a boat in it."""

    head: str
    text: Callable[[Boat], str]


def units_words(boat: Boat) -> str:
    """`d1 Lantern 9 at 5.20; sw1 Knot 5`; a release that nobody knows is said so."""
    return "; ".join(_unit_words(unit) for unit in boat.shown_units)


def _unit_words(unit: Unit) -> str:
    if unit.release:
        return f"{unit.name} {unit.model.name} at {unit.release.name}"
    return f"{unit.name} {unit.model.name}{' at a release not known' if unit.has_firmware else ''}"


def _figure(value: Any) -> str:
    return "" if value is None else f"{value}"


COLUMNS: dict[str, Column] = {
    "boat": Column("Boat", lambda boat: boat.name),
    "owner": Column("Owner", lambda boat: boat.customer.name),
    "email": Column("E-mail", lambda boat: boat.customer.email),
    "marina": Column("Marina", lambda boat: boat.marina),
    "berth": Column("Berth", lambda boat: boat.berth),
    "kind": Column("Kind", lambda boat: boat.get_kind_display()),
    "length": Column("Length (ft)", lambda boat: _figure(boat.length_ft)),
    "year": Column("Year", lambda boat: _figure(boat.year)),
    "hull": Column("Hull number", lambda boat: boat.hull_number),
    "units": Column("Units aboard", units_words),
}
FIRST_SHOWN = ("boat", "owner", "marina", "units")


def boats_asked(shop: Shop, asked: dict[str, Any], *, counting: bool = False) -> QuerySet[Boat]:
    """Boats in service that meet every part of a question (cleaned values of the form).

    `counting` asks in a way that is quicker where all are counted and slower for the first page.
    """
    rows = Boat.objects.of(shop).current().matching(asked.get("q") or "")
    for part in (_carried(asked, "a"), _carried(asked, "b")):
        rows = rows.filter(part) if part is not None else rows
    if asked.get("standing"):
        rows = rows.filter(standing__state=asked["standing"])
    for field in ("kind", "marina"):
        if asked.get(field):
            rows = rows.filter(**{field: asked[field]})
    rows = _on_network(rows, asked, counting=counting)
    rows = _noted(rows, asked)
    return _looked_at(rows, asked).select_related("customer").order_by("name", "pk")


def _carried(asked: dict[str, Any], part: str) -> Exists | None:
    """Boats with a unit of a model, from one release on and up to another, or of no known one."""
    model = asked.get(f"{part}_model")
    if model is None:
        return None
    units = Unit.objects.aboard().filter(boat=HERE, model=model)
    low, high = asked.get(f"{part}_from"), asked.get(f"{part}_to")
    if low:
        units = units.filter(release__rank__gte=low.rank)
    if high:
        units = units.filter(release__rank__lte=high.rank)
    if asked.get(f"{part}_unknown"):
        units = units.filter(release__isnull=True)
    found = Exists(units)
    return ~found if asked.get(f"{part}_without") else found


def _on_network(rows: QuerySet[Boat], asked: dict[str, Any], *, counting: bool) -> QuerySet[Boat]:
    if asked.get("switch"):
        rows = rows.filter(Exists(Unit.objects.aboard().filter(boat=HERE, model=asked["switch"])))
    least, most = asked.get("least"), asked.get("most")
    if least is None and most is None:
        return rows
    if counting:
        return _networked_sets(rows, least, most)
    own = _networked_units().filter(boat=HERE).values("many")
    rows = rows.alias(on_network=Coalesce(Subquery(own, output_field=IntegerField()), 0))
    if least is not None:
        rows = rows.filter(on_network__gte=least)
    return rows.filter(on_network__lte=most) if most is not None else rows


def _networked_sets(rows: QuerySet[Boat], least: int | None, most: int | None) -> QuerySet[Boat]:
    """The same boats as sets: one pass over an index, to count them all."""
    units = _networked_units()
    if least:
        rows = rows.filter(pk__in=units.filter(many__gte=least).values("boat"))
    if most is not None:
        rows = rows.exclude(pk__in=units.filter(many__gt=most).values("boat"))
    return rows


def _networked_units() -> QuerySet[Unit]:
    """How many units of each boat are on the network; read from an index alone."""
    units = Unit.objects.aboard().filter(networked=True).order_by().values("boat")
    return units.annotate(many=Count("boat"))


def _noted(rows: QuerySet[Boat], asked: dict[str, Any]) -> QuerySet[Boat]:
    if asked.get("known"):
        inside = Gathered.objects.filter(known=asked["known"], ended_at__isnull=True)
        rows = rows.filter(Exists(inside.filter(problem__boat=HERE)))
    if asked.get("symptom"):
        rows = rows.filter(Exists(Problem.objects.filter(boat=HERE, symptom=asked["symptom"])))
    if asked.get("noted_since"):
        since = start_of(asked["noted_since"])
        rows = rows.filter(Exists(Problem.objects.filter(boat=HERE, noted_at__gte=since)))
    return rows


def _looked_at(rows: QuerySet[Boat], asked: dict[str, Any]) -> QuerySet[Boat]:
    """Looked at since one day, and not any more since another."""
    if asked.get("seen_since"):
        rows = rows.filter(seen_since(start_of(asked["seen_since"])))
    if asked.get("not_since"):
        rows = rows.exclude(seen_since(start_of(asked["not_since"])))
    return rows


def seen_since(moment: datetime) -> Q:
    """Boats with evidence or a job done since then."""
    return Q(Exists(Evidence.objects.filter(boat=HERE, seen_at__gte=moment))) | Q(
        Exists(Job.objects.filter(boat=HERE, done_at__gte=moment))
    )


def start_of(day: date) -> datetime:
    """The first moment of a day by the shop's clock."""
    return timezone.make_aware(datetime.combine(day, datetime.min.time()))


def with_units(rows: QuerySet[Boat]) -> QuerySet[Boat]:
    """With the units aboard, for the column that lists them."""
    units = Unit.objects.aboard().for_sheet()
    return rows.prefetch_related(Prefetch("units", units.order_by("pk"), to_attr="shown_units"))


def table_rows(rows: QuerySet[Boat], columns: Iterable[str]) -> Iterator[list[str]]:
    """Heads, then a row for each boat, read a thousand at a time."""
    shown = [COLUMNS[name] for name in columns]
    yield [column.head for column in shown]
    for boat in with_units(rows).iterator(chunk_size=CHUNK):
        yield [safe_cell(column.text(boat)) for column in shown]


def safe_cell(text: str) -> str:
    """A cell that no spreadsheet takes for a formula."""
    return f"'{text}" if text[:1] in {"=", "+", "-", "@", "\t", "\r"} else text


def at_most(rows: Iterator[list[str]], count: int) -> Iterator[list[str]]:
    """The heads and so many rows."""
    return islice(rows, count + 1)
