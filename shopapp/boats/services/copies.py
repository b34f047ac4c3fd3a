"""A new boat from one like it: places, banks, units without serials, cables, backbone."""

from collections.abc import Mapping

from django.db import transaction

from shopapp.accounts.models import Shop
from shopapp.boats.aboard import Aboard, load_aboard
from shopapp.boats.models import Bank, Boat, CableEnd, How, Location, Sureness, Unit
from shopapp.boats.services.backbone import TeeRow, save_backbone, tee_rows
from shopapp.boats.services.boats import add_boat
from shopapp.boats.services.cables import End, save_cables
from shopapp.boats.services.evidence import Seen
from shopapp.boats.services.places import Row, save_banks, save_places
from shopapp.boats.services.units import save_units


@transaction.atomic
def copy_boat(*, like: Boat, shop: Shop, values: Mapping[str, object], seen: Seen) -> Boat:
    """Add a boat with `values`, and assume aboard what the like one has.

    Every copied value is evidence of how "assumed", and gives way to anything seen.
    Serials, readings and notes are the like boat's own and are not copied.
    """
    boat = add_boat(shop=shop, values=values, seen=seen)
    assumed = Seen(
        how=How.ASSUMED, by=seen.by, sureness=Sureness.LOW, note=f"as aboard {like.name}"[:200]
    )
    aboard = load_aboard(like)
    _copy_places(boat, aboard, assumed)
    places = {place.name: place for place in boat.locations.all()}
    _copy_banks(boat, aboard, assumed)
    banks = {bank.name: bank for bank in boat.banks.all()}
    _copy_units(boat, aboard, places, banks, assumed)
    units = {unit.name: unit for unit in boat.units.select_related("model", "location")}
    _copy_cables(boat, aboard, places, units, assumed)
    _copy_bones(boat, aboard, places, units, assumed)
    return boat


def _row(values: dict[str, object]) -> Row:
    return Row(None, values, frozenset(values))


def _values(row: object, *names: str) -> dict[str, object]:
    return {name: getattr(row, name) for name in names}


def _copy_places(boat: Boat, aboard: Aboard, seen: Seen) -> None:
    names = ("name", "x", "y", "exposure", "vapour", "room_note", "switch_place")
    routes = [
        _row({"a": row.a.name, "b": row.b.name, "feet": row.feet, "sureness": Sureness.LOW})
        for row in aboard.routes
    ]
    locations = [_row(_values(row, *names)) for row in aboard.locations]
    save_places(boat=boat, locations=locations, routes=routes, seen=seen)


def _copy_banks(boat: Boat, aboard: Aboard, seen: Seen) -> None:
    names = ("name", "use", "chemistry", "volts", "capacity_ah", "fuse_a", "charger")
    save_banks(boat=boat, banks=[_row(_values(row, *names)) for row in aboard.banks], seen=seen)


def _copy_units(
    boat: Boat,
    aboard: Aboard,
    places: Mapping[str, Location],
    banks: Mapping[str, Bank],
    seen: Seen,
) -> None:
    names = ("name", "model", "release", "networked", "adapters", "fuse_ma", "cutoff")
    more = ("fuse_place", "wire")
    rows = [
        _row(
            {
                **_values(unit, *names, *more),
                "location": places[unit.location.name],
                "bank": banks.get(unit.bank.name) if unit.bank else None,
            }
        )
        for unit in aboard.fitted
    ]
    save_units(boat=boat, units=rows, seen=seen)


def _copy_cables(
    boat: Boat,
    aboard: Aboard,
    places: Mapping[str, Location],
    units: Mapping[str, Unit],
    seen: Seen,
) -> None:
    rows = []
    for cable in aboard.cables:
        ends = aboard.ends.get(cable.pk, {})
        if len(ends) == 2:
            values = {"label": cable.label, "part": cable.part, "note": ""}
            values |= {f"end_{side}": _end(end, places, units) for side, end in ends.items()}
            rows.append(_row(values))
    save_cables(boat=boat, cables=rows, seen=seen)


def _end(end: CableEnd, places: Mapping[str, Location], units: Mapping[str, Unit]) -> End:
    unit = units.get(end.unit.name) if end.unit_id else None
    if unit is None:
        return End(location=places[end.location.name])
    return End(unit=unit, port=end.port)


def _copy_bones(
    boat: Boat,
    aboard: Aboard,
    places: Mapping[str, Location],
    units: Mapping[str, Unit],
    seen: Seen,
) -> None:
    for bone in aboard.bones:
        values = {**_values(bone.row, "name", "cable"), "measured_ohms": None, "note": ""}
        tees = [_tee(row, places, units) for row in tee_rows(backbone=bone.row)]
        save_backbone(
            boat=boat,
            backbone=None,
            values=values,
            changed=frozenset({"cable"}),
            tees=tees,
            seen=seen,
        )


def _tee(row: TeeRow, places: Mapping[str, Location], units: Mapping[str, Unit]) -> TeeRow:
    own = {"location": places[row.location.name], "unit": row.unit and units.get(row.unit.name)}
    return TeeRow(**{**row.__dict__, **own})
