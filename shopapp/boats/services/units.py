"""What is done with the units aboard."""

from collections.abc import Sequence
from datetime import date

from django.db import transaction

from shopapp.boats.models import Boat, CableEnd, Unit
from shopapp.boats.services.evidence import Seen, Stated, check_seen, lock_boat, record_facts
from shopapp.boats.services.places import (
    Row,
    fetch_row,
    free_names,
    note_stated,
    save_row,
    state,
)
from shopapp.errors import FactRefused, InUse

ABOARD = (Unit.State.FITTED, Unit.State.UNKNOWN)


@transaction.atomic
def save_units(*, boat: Boat, units: Sequence[Row], seen: Seen) -> int:
    """Save the sheet of units; the answer counts what stays in dispute.

    A struck row is a unit no longer aboard: it is kept on record as removed, or let
    go where nothing was ever noted of it.
    """
    check_seen(seen)
    lock_boat(boat)
    stated = []
    for row in units:
        if row.struck and row.pk:
            unit = fetch_row(boat=boat, kind=Unit, pk=row.pk)
            move_unit(unit=unit, state=Unit.State.REMOVED, seen=seen)
    free_names(kind=Unit, rows=units)
    for row in units:
        if not row.struck:
            check_release(row)
            stated += state(save_row(boat=boat, kind=Unit, row=row), row)
    return note_stated(boat=boat, stated=stated, seen=seen)


def check_release(row: Row) -> None:
    """Refuse a release that the model never had."""
    release, model = row.values.get("release"), row.values.get("model")
    if release is not None and release.model_id != model.pk:
        raise FactRefused(f"{model} never had release {release}.", field="release")


@transaction.atomic
def move_unit(*, unit: Unit, state: str, seen: Seen, on: date | None = None) -> None:
    """Say that a unit is fitted, on the bench, removed, stolen or not known.

    One that left the boat lets go of its ports: the cables stay, loose where they lie.
    """
    check_seen(seen)
    lock_boat(unit.boat)
    unit.refresh_from_db()
    if state in ABOARD and unit.state not in ABOARD:
        _check_name_free(unit)
    rows = record_facts(boat=unit.boat, facts=[Stated(unit, "state", state)], seen=seen)
    if rows[0].standing != "holds":
        raise FactRefused(
            f"Stronger evidence says that {unit.name} is {unit.get_state_display().lower()}.",
            field="how",
            todo="Say how you know it better, or settle it on the boat's sheet.",
        )
    if state not in ABOARD:
        CableEnd.objects.filter(unit=unit).update(unit=None, port=None)
        for drop in unit.drops.all():
            drop.unit, drop.node = None, drop.node or f"was {unit.name}"
            drop.save()
    if on is not None and state == Unit.State.FITTED:
        unit.fitted_on = on
        unit.save()


def _check_name_free(unit: Unit) -> None:
    others = Unit.objects.filter(boat=unit.boat_id, name=unit.name).exclude(pk=unit.pk)
    if others.exclude(state__in=[Unit.State.REMOVED, Unit.State.STOLEN]).exists():
        raise FactRefused(
            f"Another unit aboard is called {unit.name} now.",
            field="state",
            todo="Rename that one first.",
        )


@transaction.atomic
def delete_unit(*, unit: Unit) -> None:
    """Delete a unit entered by mistake: nothing done may refer to it."""
    lock_boat(unit.boat)
    names = [
        relation.related_model._meta.verbose_name_plural
        for relation in unit._meta.related_objects
        if relation.name not in {"evidence", "cable_ends", "drops"}
        and relation.related_model.objects.filter(**{relation.field.name: unit}).exists()
    ]
    if names:
        raise InUse(
            f"{unit.name} is named by {', '.join(map(str, sorted(names)))}.",
            todo="Mark it as removed instead: its history stays with the boat.",
        )
    CableEnd.objects.filter(unit=unit).update(unit=None, port=None)
    unit.delete()


def next_name(*, kind: str, taken: set[str]) -> str:
    """A short name for a unit of a kind, free aboard: d1, sw2, snd1."""
    stems = {
        "display": "d", "switch": "sw", "sounder": "snd", "radar": "rad", "motor": "tm",
        "camera": "cam", "gateway": "gw",
    }  # fmt: skip
    stem = stems.get(kind, "u")
    number = next(n for n in range(1, len(taken) + 2) if f"{stem}{n}" not in taken)
    return f"{stem}{number}"
