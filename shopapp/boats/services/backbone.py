"""The NMEA 2000 backbone, entered as one row a tee from end to end."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from shopapp.boats.models import Backbone, Boat, Drop, Feed, Location, Segment, Tee, Unit
from shopapp.boats.services.evidence import Seen, Stated, check_seen, lock_boat
from shopapp.boats.services.places import note_stated
from shopapp.errors import FactRefused

DROP_TO = "drop to "
FEED_FACTS = {"feed_volts": "volts", "feed_fuse_ma": "fuse_ma"}
"""What a survey asks of a backbone's feeds → the field of each."""


@dataclass(frozen=True)
class TeeRow:
    """A tee with the cable from the one before (`run_m`), its drop and its power.

    Lengths in metres, None where nobody measured; `node` names what hangs there when
    it is no unit of the list.
    """

    name: str
    location: Location
    run_m: Decimal | None = None
    terminated: bool = False
    unit: Unit | None = None
    node: str = ""
    drop_m: Decimal | None = None
    load_units: int | None = None
    feeds: bool = False
    fuse_ma: int | None = None
    cutoff: str = ""
    volts: Decimal | None = None

    @property
    def drops(self) -> bool:
        """Whether anything hangs on the tee."""
        return bool(self.unit or self.node or self.drop_m is not None)


def tee_rows(*, backbone: Backbone) -> list[TeeRow]:
    """The backbone as rows; a tee with several drops gives a row for each."""
    runs = {segment.to_tee_id: segment.metres for segment in backbone.segments.all()}
    rows = []
    for tee in backbone.tees.select_related("location").prefetch_related("drops__unit", "feeds"):
        feed = next(iter(tee.feeds.all()), None)
        first = TeeRow(
            name=tee.name,
            location=tee.location,
            run_m=runs.get(tee.pk),
            terminated=tee.terminated,
            feeds=feed is not None,
            fuse_ma=feed.fuse_ma if feed else None,
            cutoff=feed.cutoff if feed else "",
            volts=feed.volts if feed else None,
        )
        drops = list(tee.drops.all())
        rows += [_with_drop(first, drop, place) for place, drop in enumerate(drops)] or [first]
    return rows


def _with_drop(first: TeeRow, drop: Drop, place: int) -> TeeRow:
    own = {} if place else first.__dict__
    facts = {
        "name": f"{first.name}{'abcdefgh'[place % 8] if place else ''}",
        "location": first.location,
        **{name: value for name, value in own.items() if name not in {"name", "location"}},
        "unit": drop.unit,
        "node": drop.node,
        "drop_m": drop.metres or None,
        "load_units": drop.load_units,
    }
    return TeeRow(**facts)


@transaction.atomic
def save_backbone(
    *,
    boat: Boat,
    backbone: Backbone | None,
    values: Mapping[str, object],
    changed: frozenset[str],
    tees: Sequence[TeeRow],
    seen: Seen,
) -> tuple[Backbone, int]:
    """Save a backbone and its tees in order; the answer counts what stays in dispute."""
    check_seen(seen)
    lock_boat(boat)
    check_tees(boat=boat, tees=tees)
    plain = {name: values[name] for name in ("name", "note")}
    if backbone is None:
        backbone = Backbone.objects.create(boat=boat, **values)
    elif changed & plain.keys():
        for name, value in plain.items():
            setattr(backbone, name, value)
        backbone.save()
    facts = [name for name in ("cable", "measured_ohms") if name in changed]
    stated = [Stated(backbone, name, values[name]) for name in facts]
    if tee_rows(backbone=backbone) != list(tees):
        _lay(backbone, tees)
        stated.append(Stated(backbone, "tees", describe(tees)))
    return backbone, note_stated(boat=boat, stated=stated, seen=seen)


def describe(tees: Sequence[TeeRow]) -> str:
    """The tees in a line: how many, and what is on them."""
    ends = sum(tee.terminated for tee in tees)
    feeds = sum(tee.feeds for tee in tees)
    drops = ", ".join(str(tee.unit or tee.node) for tee in tees if tee.unit or tee.node)
    return f"{len(tees)} tees, {ends} terminators, {feeds} feeds: {drops or 'no drops'}"[:200]


def check_tees(*, boat: Boat, tees: Sequence[TeeRow]) -> None:
    """Refuse tees that name another boat's things, or one name twice."""
    seen: set[str] = set()
    for tee in tees:
        if tee.location.boat_id != boat.pk:
            raise FactRefused(f"{tee.location} is no location of this boat.", field="location")
        if tee.unit and tee.unit.boat_id != boat.pk:
            raise FactRefused(f"{tee.unit} is aboard another boat.", field="unit")
        if tee.name in seen:
            raise FactRefused(f"Two tees are called {tee.name}.", field="name")
        seen.add(tee.name)


def _lay(backbone: Backbone, rows: Sequence[TeeRow]) -> None:
    for tee in backbone.tees.all():
        tee.delete()
    before = None
    for place, row in enumerate(rows, 1):
        tee = Tee.objects.create(
            backbone=backbone,
            name=row.name,
            position=place,
            location=row.location,
            terminated=row.terminated,
        )
        if before is not None and row.run_m:
            Segment.objects.create(backbone=backbone, from_tee=before, to_tee=tee, metres=row.run_m)
        _hang(tee, row)
        before = tee


def _hang(tee: Tee, row: TeeRow) -> None:
    if row.drops:
        Drop.objects.create(
            tee=tee,
            unit=row.unit,
            node=row.node,
            metres=row.drop_m or 0,
            load_units=row.load_units,
        )
    if row.feeds:
        Feed.objects.create(
            tee=tee, fuse_ma=row.fuse_ma, cutoff=row.cutoff or "", volts=row.volts
        )  # fmt: skip


def drop_fact(drop: Drop) -> str:
    """The name of the fact that a drop's length is: `drop to d1`, or to a node without a unit."""
    return f"{DROP_TO}{drop.unit or drop.node or f'node on {drop.tee.name}'}"[:40]


def write_measured(*, backbone: Backbone, fact: str, value: Decimal | int) -> None:
    """Write what a survey measured of a backbone's drops and feeds into their own rows."""
    if fact.startswith(DROP_TO):
        for drop in Drop.objects.filter(tee__backbone=backbone).select_related("tee", "unit"):
            if drop_fact(drop) == fact:
                drop.metres = value
                drop.save()
    elif fact in FEED_FACTS:
        for feed in Feed.objects.filter(tee__backbone=backbone):
            setattr(feed, FEED_FACTS[fact], value)
            feed.save()


@transaction.atomic
def delete_backbone(*, boat: Boat, backbone: Backbone) -> None:
    """Let go a backbone entered by mistake; its changes stay in the history."""
    lock_boat(boat)
    backbone.delete()
