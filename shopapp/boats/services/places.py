"""Locations, the routes between them, and the battery banks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.db import transaction

from shopapp.boats.facts import KINDS, Subject, slot_of
from shopapp.boats.models import Bank, Boat, Location, Route
from shopapp.boats.services.evidence import (
    Seen,
    Stated,
    check_seen,
    lock_boat,
    record_facts,
    touch_boat,
)
from shopapp.errors import FactRefused, StaleRecord


@dataclass(frozen=True)
class Row:
    """A row of a survey sheet: the row's number (None: new), its values, which of them changed.

    `struck` rows leave the boat; their values are those on record.
    """

    pk: int | None
    values: Mapping[str, object]
    changed: frozenset[str] = field(default_factory=frozenset)
    struck: bool = False


def save_row(*, boat: Boat, kind: type[Subject], row: Row) -> Subject:
    """Write a row's plain values; of a row on record the facts with evidence wait for `state`."""
    if row.pk is None:
        return kind.objects.create(boat=boat, **row.values)
    subject = fetch_row(boat=boat, kind=kind, pk=row.pk)
    facts = KINDS[slot_of(subject)]
    plain = {name for name in row.changed & row.values.keys() if name not in facts}
    for name in plain:
        setattr(subject, name, row.values[name])
    if plain:
        subject.save()
    return subject


def fetch_row(*, boat: Boat, kind: type[Subject], pk: int) -> Subject:
    """The boat's row of that number; StaleRecord where it is gone."""
    subject = kind.objects.filter(boat=boat, pk=pk).first()
    if subject is None:
        raise StaleRecord("A row of this sheet is gone.", todo="Load the sheet again.")
    return subject


def free_names(*, kind: type[Subject], rows: Sequence[Row], name: str = "name") -> None:
    """Let go the names that change, so that two rows may swap theirs in one save."""
    for row in rows:
        if row.pk and name in row.changed and not row.struck:
            kind.objects.filter(pk=row.pk).update(**{name: f"~{row.pk}"})


def state(subject: Subject, row: Row) -> list[Stated]:
    """The facts that a row states: what was changed, or what a new row says."""
    names = list(KINDS[slot_of(subject)])
    if row.pk is None:
        # A nought or a "no" counts only where it was typed: blank is neither.
        blank = {None, ""}
        names = [name for name in names if row.values.get(name) not in blank]
        names = [name for name in names if row.values[name] or name in row.changed]
    else:
        names = [name for name in names if name in row.changed]
    return [Stated(subject, name, row.values.get(name)) for name in names]


@transaction.atomic
def save_places(*, boat: Boat, locations: Sequence[Row], routes: Sequence[Row], seen: Seen) -> int:
    """Save the sheets of locations and routes; the answer counts what stays in dispute.

    A route's `a` and `b` are names of locations of the sheet. A location is let go
    after the routes were, and only where nothing lies there.
    """
    check_seen(seen)
    lock_boat(boat)
    stated = []
    strike_rows(boat=boat, kind=Route, rows=routes)
    routes = [_as_new(boat, row) for row in routes]
    strike_rows(boat=boat, kind=Location, rows=locations)
    free_names(kind=Location, rows=locations)
    for row in locations:
        if not row.struck:
            stated += state(save_row(boat=boat, kind=Location, row=row), row)
    by_name = {place.name.casefold(): place for place in boat.locations.all()}
    for row in routes:
        if not row.struck:
            stated += state(_save_route(boat, row, by_name), row)
    return note_stated(boat=boat, stated=stated, seen=seen)


def strike_rows(*, boat: Boat, kind: type[Subject], rows: Sequence[Row]) -> None:
    """Let go the rows struck out."""
    for row in rows:
        if row.struck and row.pk:
            subject = fetch_row(boat=boat, kind=kind, pk=row.pk)
            if isinstance(subject, Location):
                check_free(location=subject)
            if isinstance(subject, Bank):
                check_feeds_nothing(bank=subject)
            subject.delete()


def note_stated(*, boat: Boat, stated: list[Stated], seen: Seen) -> int:
    """Record what a sheet stated; the answer counts what did not come to hold."""
    if not stated:
        touch_boat(boat)
        return 0
    rows = record_facts(boat=boat, facts=stated, seen=seen)
    return sum(row.standing != "holds" for row in rows)


def _as_new(boat: Boat, row: Row) -> Row:
    # Another pair of places is another route; so two routes may also swap theirs.
    if row.pk is None or row.struck or not row.changed & {"a", "b"}:
        return row
    fetch_row(boat=boat, kind=Route, pk=row.pk).delete()
    return Row(None, row.values, row.changed | {"feet"})


def _save_route(boat: Boat, row: Row, by_name: Mapping[str, Location]) -> Route:
    ends = {side: by_name.get(str(row.values[side]).casefold()) for side in ("a", "b")}
    for side, place in ends.items():
        if place is None:
            raise FactRefused(f"There is no location “{row.values[side]}”.", field=side)
    return save_row(boat=boat, kind=Route, row=Row(row.pk, {**row.values, **ends}, row.changed))


def uses_of(*, location: Location) -> list[str]:
    """What still lies at a location, in words; routes apart."""
    return [
        *(f"unit {unit.name}" for unit in location.units.aboard()),
        *(f"unit {unit.name} (kept on record)" for unit in _gone(location)),
        *(f"cable {end.cable.label}" for end in location.cable_ends.select_related("cable")),
        *(f"tee {tee.name}" for tee in location.tees.all()),
    ]


def _gone(location: Location) -> Sequence:
    return location.units.exclude(pk__in=location.units.aboard().values("pk"))


def check_free(*, location: Location) -> None:
    """Refuse to let go a location where something lies."""
    uses = uses_of(location=location)
    if uses:
        more = f" and {len(uses) - 3} more" if len(uses) > 3 else ""
        raise FactRefused(
            f"{location.name} is still in use: {', '.join(uses[:3])}{more}.",
            field="name",
            todo="Move them first.",
        )


def check_feeds_nothing(*, bank: Bank) -> None:
    """Refuse to let go a bank that feeds a unit aboard."""
    fed = [unit.name for unit in bank.units.aboard()]
    if fed:
        raise FactRefused(
            f"{bank.name} still feeds {', '.join(fed[:3])}.",
            field="name",
            todo="Feed them otherwise first.",
        )


@transaction.atomic
def save_banks(*, boat: Boat, banks: Sequence[Row], seen: Seen) -> int:
    """Save the sheet of battery banks; the answer counts what stays in dispute."""
    check_seen(seen)
    lock_boat(boat)
    strike_rows(boat=boat, kind=Bank, rows=banks)
    free_names(kind=Bank, rows=banks)
    stated = []
    for row in banks:
        if not row.struck:
            stated += state(save_row(boat=boat, kind=Bank, row=row), row)
    return note_stated(boat=boat, stated=stated, seen=seen)
