"""Network cables in place, and which port each end is in."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from shopapp.boats.models import Boat, Cable, CableEnd, Location, Unit
from shopapp.boats.services.ends import end_text
from shopapp.boats.services.evidence import Seen, Stated, check_seen, lock_boat
from shopapp.boats.services.places import Row, fetch_row, free_names, note_stated
from shopapp.errors import FactRefused


@dataclass(frozen=True)
class End:
    """One end of a cable: in a unit (any port, or one), or loose at a location."""

    unit: Unit | None = None
    location: Location | None = None
    port: int | None = None

    @property
    def where(self) -> Location:
        """The location: the unit's own, or the one where it lies loose."""
        return self.unit.location if self.unit else self.location

    @property
    def text(self) -> str:
        """The end as evidence keeps it."""
        return end_text(location=self.where, unit=self.unit, port=self.port)


@dataclass(frozen=True)
class Fault:
    """What is wrong with which cell of a sheet."""

    row: int
    field: str
    message: str


def check_cables(*, boat: Boat, cables: Sequence[Row]) -> list[Fault]:
    """All that cannot be right about the ends of a whole sheet of cables.

    Each row's `values` hold `label`, `end_a` and `end_b` (`End`s); struck rows do not count.
    """
    faults: list[Fault] = []
    taken: dict[tuple[int, int], str] = {}
    for index, row in enumerate(cables):
        if row.struck:
            continue
        label = str(row.values.get("label") or f"row {index + 1}")
        for side in ("a", "b"):
            end = row.values[f"end_{side}"]
            faults += [Fault(index, field, words) for field, words in _end_faults(boat, end, side)]
            if end.unit and end.port:
                before = taken.setdefault((end.unit.pk, end.port), f"{label} end {side.upper()}")
                if before != f"{label} end {side.upper()}":
                    words = f"Port {end.port} of {end.unit} is taken by cable {before}."
                    faults.append(Fault(index, f"port_{side}", words))
        faults += _pair_faults(index, row)
    return faults + _crowded(cables)


def _end_faults(boat: Boat, end: End, side: str) -> list[tuple[str, str]]:
    if end.unit is None:
        lost = end.port is not None
        return [(f"port_{side}", "A port needs its unit: this end lies loose.")] if lost else []
    if end.unit.boat_id != boat.pk:
        return [(f"end_{side}", f"{end.unit} is aboard another boat.")]
    ports = end.unit.model.ports
    if ports == 0:
        return [(f"end_{side}", f"{end.unit.model} has no Ethernet port.")]
    if end.port is not None and not 1 <= end.port <= ports:
        many = "one port" if ports == 1 else f"ports 1 to {ports}"
        return [(f"port_{side}", f"{end.unit} ({end.unit.model}) has {many} only.")]
    return []


def _pair_faults(index: int, row: Row) -> list[Fault]:
    a, b = row.values["end_a"], row.values["end_b"]
    if a.unit and b.unit and a.unit.pk == b.unit.pk:
        return [Fault(index, "end_b", f"Both ends are in {a.unit}; a cable joins two units.")]
    return []


def _crowded(cables: Sequence[Row]) -> list[Fault]:
    faults, count = [], {}
    for index, row in enumerate(cables):
        for side in () if row.struck else ("a", "b"):
            unit = row.values[f"end_{side}"].unit
            if unit is None:
                continue
            count[unit.pk] = count.get(unit.pk, 0) + 1
            if count[unit.pk] == unit.model.ports + 1 and unit.model.ports:
                ports = f"{unit.model.ports} port{'s' if unit.model.ports > 1 else ''}"
                words = f"{unit} has {ports}, and cables above are in all of them."
                faults.append(Fault(index, f"end_{side}", words))
    return faults


@transaction.atomic
def save_cables(*, boat: Boat, cables: Sequence[Row], seen: Seen) -> int:
    """Save the whole sheet of cables; the answer counts what stays in dispute.

    Struck cables are retired: they were seen once, and stay readable.
    """
    check_seen(seen)
    lock_boat(boat)
    for fault in check_cables(boat=boat, cables=cables):
        raise FactRefused(fault.message, field=fault.field)
    for row in cables:
        if row.struck and row.pk:
            retire_cable(cable=fetch_row(boat=boat, kind=Cable, pk=row.pk))
    free_names(kind=Cable, rows=cables, name="label")
    taken = {str(row.values["label"]) for row in cables if not row.struck}
    stated = []
    for row in cables:
        if not row.struck:
            stated += _save_cable(boat, row, taken)
    return note_stated(boat=boat, stated=stated, seen=seen)


def retire_cable(*, cable: Cable) -> None:
    """Take a cable off the boat's sheet: ports and places are free, evidence says where it was."""
    cable.ends.all().delete()
    cable.retired_at = timezone.now()
    cable.save()


def _save_cable(boat: Boat, row: Row, taken: set[str]) -> list[Stated]:
    values = row.values
    if row.pk is None:
        label = values["label"] or next_label(taken=taken)
        taken.add(label)
        cable = Cable.objects.create(
            boat=boat, label=label, part=values["part"], note=values.get("note", "")
        )
        changed = {"part", "end_a", "end_b"}
        for side in ("a", "b"):
            end = values[f"end_{side}"]
            CableEnd.objects.create(cable=cable, side=side, location=end.where)
    else:
        cable = fetch_row(boat=boat, kind=Cable, pk=row.pk)
        changed = row.changed
        if changed & {"label", "note"}:
            cable.label = values["label"] or next_label(taken=taken)
            cable.note = values.get("note", cable.note)
            cable.save()
        _let_go(cable, changed)
    return [*_stated(cable, row, changed)]


def _let_go(cable: Cable, changed: frozenset[str] | set[str]) -> None:
    # Ends that move leave their ports first, so that two cables may swap them in one save.
    for side in ("a", "b"):
        if f"end_{side}" in changed:
            cable.ends.filter(side=side).update(port=None)


def _stated(cable: Cable, row: Row, changed: frozenset[str] | set[str]) -> list[Stated]:
    stated = [Stated(cable, "part", row.values["part"])] if "part" in changed else []
    for side in ("a", "b"):
        if f"end_{side}" in changed:
            stated.append(Stated(cable, f"end_{side}", row.values[f"end_{side}"].text))
    return stated


def next_label(*, taken: set[str]) -> str:
    """The next free label: c1, c2, c3."""
    return next(f"c{n}" for n in range(1, len(taken) + 2) if f"c{n}" not in taken)
