"""The drawing of a boat as it is, from its records."""

from decimal import Decimal

from shopapp.boats.aboard import Aboard, Bone, load_aboard
from shopapp.boats.drawing import Backbone, BoatSheet, Place, Plate, Run, Tee, draw_boat
from shopapp.boats.models import Boat, Cable, CableEnd, Drop, Unit
from shopapp.boats.models import Tee as TeeRow

FEET_PER_METRE = Decimal("3.28084")


def boat_picture(*, boat: Boat, key: str, width: int = 1120) -> str:
    """The boat as it is, as SVG; `key` begins the ids in it, so that a page may hold several."""
    return draw_boat(as_is(load_aboard(boat)), key=key, width=width)


def as_is(aboard: Aboard) -> BoatSheet:
    """The records as a drawing's sheet; ids are the units' and locations' own names."""
    boat = aboard.boat
    return BoatSheet(
        name=boat.name,
        length_ft=float(boat.length_ft),
        beam_ft=None if boat.beam_ft is None else float(boat.beam_ft),
        kind=boat.kind,
        places=tuple(
            Place(id=row.name, name=row.name, x=_number(row.x), y=_number(row.y))
            for row in aboard.locations
        ),
        units=tuple(_plate(unit) for unit in aboard.fitted),
        runs=tuple(run for run in (_run(aboard, cable) for cable in aboard.cables) if run),
        backbone=tuple(_backbone(bone) for bone in aboard.bones if bone.tees),
    )


def _number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def _plate(unit: Unit) -> Plate:
    return Plate(
        id=unit.name,
        name=unit.name,
        model=_model_words(unit),
        kind=unit.model.kind,
        place=unit.location.name,
        release_before=unit.release.name if unit.release else None,
        networked=unit.networked is not False,
        ports=unit.model.ports,
    )


def _model_words(unit: Unit) -> str:
    # The plate has no sign for it: what nobody knows is said in words.
    words = unit.model.name
    return words if unit.networked is not None else f"{words}, on the Ethernet or not: not known"


def _run(aboard: Aboard, cable: Cable) -> Run | None:
    ends = aboard.ends.get(cable.pk, {})
    names = {unit.pk: unit.name for unit in aboard.fitted}
    a, b = (_unit_of(ends.get(side), names) for side in ("a", "b"))
    if a is None or b is None:
        # A cable that lies loose joins nothing; the table below the drawing lists it.
        return None
    return Run(
        a=a,
        b=b,
        port_a=ends["a"].port,
        port_b=ends["b"].port,
        label=cable.label,
        feet=float(cable.part.cable_ft or 0) or None,
    )


def _unit_of(end: CableEnd | None, names: dict[int, str]) -> str | None:
    return names.get(end.unit_id) if end else None


def _backbone(bone: Bone) -> Backbone:
    runs = [run.metres for run in bone.runs.values()]
    whole = len(runs) == len(bone.tees) - 1
    return Backbone(
        tees=tuple(tee for row in bone.tees for tee in _tees(bone, row)),
        name=bone.row.name,
        feet=float(round(sum(runs) * FEET_PER_METRE, 1)) if runs and whole else None,
        terminator_first=bone.tees[0].terminated,
        terminator_last=bone.tees[-1].terminated,
    )


def _tees(bone: Bone, row: TeeRow) -> list[Tee]:
    place = row.location.name
    fused = [f"{feed.fuse_ma / 1000:g} A" if feed.fuse_ma else "fuse not known"
             for feed in bone.feeds.get(row.pk, [])]  # fmt: skip
    tees = [Tee(place=place, power=words) for words in fused]
    tees += [_drop_tee(place, drop) for drop in bone.drops.get(row.pk, [])]
    return tees or [Tee(place=place, spare=True)]


def _drop_tee(place: str, drop: Drop) -> Tee:
    feet = float(round(drop.metres * FEET_PER_METRE, 1)) if drop.metres else None
    name = drop.unit.name if drop.unit_id else drop.node or "node not named"
    return Tee(place=place, unit=name, feet=feet)
