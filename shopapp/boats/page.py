"""The boat's sheet: facts and tables, each value with its evidence mark."""

from dataclasses import dataclass, field

from shopapp.boats.aboard import Aboard, Bone
from shopapp.boats.marks import Cell, Mark, Marks, main_mark
from shopapp.boats.models import Boat, Cable, Tee, Unit
from shopapp.boats.services.ends import end_text, end_words
from shopapp.ui.templatetags.ui import amps, day, feet, metres


@dataclass
class Line:
    """A row of a table: what it is of, its cells, and the mark that most of them share."""

    row: object
    cells: list[Cell]
    mark: Mark | None = None
    more: dict[str, object] = field(default_factory=dict)


def _line(row: object, cells: list[Cell], **more: object) -> Line:
    return Line(row, cells, main_mark(cells), more)


def _yes(value: bool | None, yes: str = "yes", no: str = "no") -> str:
    return {True: yes, False: no, None: ""}[value]


def _amps(value: int | None) -> str:
    return "" if value is None else amps(value)


def _feet(value: object) -> str:
    return "" if value is None else feet(value)


def boat_facts(boat: Boat, marks: Marks) -> Line:
    """The boat's own facts."""
    volts = f"{boat.dc_volts} V" if boat.dc_volts else ""
    values = {
        "builder": boat.builder,
        "year": str(boat.year or ""),
        "length_ft": _feet(boat.length_ft),
        "beam_ft": _feet(boat.beam_ft),
        "draught_ft": _feet(boat.draught_ft),
        "air_draught_ft": _feet(boat.air_draught_ft),
        "hull_material": boat.get_hull_material_display() if boat.hull_material else "",
        "fuel": boat.get_fuel_display() if boat.fuel else "",
        "engines": boat.engines,
        "dc_volts": volts,
        "dc_limit_ma": _amps(boat.dc_limit_ma),
        "hull_number_read": boat.hull_number or boat.hull_number_read,
        "registration": boat.registration,
        "dock_power": _yes(boat.dock_power),
    }
    return _line(boat, [marks.cell("boat", boat.pk, name, text) for name, text in values.items()])


def unit_line(unit: Unit, marks: Marks) -> Line:
    """A unit as a row of the sheet."""
    network = _yes(unit.networked, "on", "off")
    adapters = str(unit.adapters) if unit.model.adapter_id or unit.adapters else ""
    values = {
        "model": str(unit.model),
        "location": str(unit.location),
        "release": unit.release.name if unit.release else "",
        "networked": network,
        "adapters": adapters,
        "fuse_ma": _amps(unit.fuse_ma),
        "cutoff": unit.cutoff,
        "bank": str(unit.bank) if unit.bank else "",
        "serial": unit.serial,
    }
    line = _line(unit, [marks.cell("unit", unit.pk, name, text) for name, text in values.items()])
    _say_not_needed(unit, line)
    return line


def _say_not_needed(unit: Unit, line: Line) -> None:
    # Where there is nothing to know, "not known" would only hide what is really missing.
    for cell in line.cells:
        bare = cell.fact == "adapters" and not unit.model.adapter_id
        without = cell.fact == "release" and not getattr(unit, "has_firmware", True)
        if (bare or without) and not cell.known:
            cell.text, cell.quiet = ("none needed" if bare else "no firmware"), True


def unit_facts(unit: Unit, marks: Marks) -> Line:
    """All values of one unit, for its own page."""
    line = unit_line(unit, marks)
    rest = {
        "fuse_place": unit.fuse_place,
        "wire": unit.wire,
        "state": unit.get_state_display(),
    }
    cells = line.cells + [marks.cell("unit", unit.pk, name, text) for name, text in rest.items()]
    return _line(unit, cells)


def _end_words(aboard: Aboard, cable: Cable, side: str) -> str:
    end = aboard.ends.get(cable.pk, {}).get(side)
    if end is None:
        return ""
    return end_words(end_text(location=end.location, unit=end.unit, port=end.port))


def cable_line(aboard: Aboard, cable: Cable, marks: Marks) -> Line:
    """A cable as a row of the sheet."""
    values = {
        "part": f"{feet(cable.part.cable_ft)}, {cable.part.number}",
        "end_a": _end_words(aboard, cable, "a"),
        "end_b": _end_words(aboard, cable, "b"),
    }
    return _line(
        cable, [marks.cell("cable", cable.pk, name, text) for name, text in values.items()]
    )


def location_lines(aboard: Aboard, marks: Marks) -> list[Line]:
    """Locations as rows of the sheet."""
    lines = []
    for row in aboard.locations:
        values = {
            "exposure": row.get_exposure_display() if row.exposure else "",
            "vapour": _yes(row.vapour, "possible", "none"),
            "switch_place": _yes(row.switch_place),
            "room_note": row.room_note,
        }
        cells = [marks.cell("location", row.pk, name, text) for name, text in values.items()]
        lines.append(_line(row, cells))
    return lines


def route_lines(aboard: Aboard, marks: Marks) -> list[Line]:
    """Routes as rows of the sheet."""
    return [
        _line(row, [marks.cell("route", row.pk, "feet", feet(row.feet))]) for row in aboard.routes
    ]


def bank_lines(aboard: Aboard, marks: Marks) -> list[Line]:
    """Battery banks as rows of the sheet."""
    lines = []
    for row in aboard.banks:
        rested = f"{row.rested_mv / 1000:g} V" if row.rested_mv else ""
        values = {
            "use": row.get_use_display(),
            "chemistry": row.get_chemistry_display() if row.chemistry else "",
            "volts": f"{row.volts} V",
            "capacity_ah": f"{row.capacity_ah} Ah" if row.capacity_ah else "",
            "fuse_a": f"{row.fuse_a} A" if row.fuse_a else "",
            "charger": row.charger,
            "rested_mv": f"{rested}, {day(row.rested_on)}" if rested else "",
        }
        cells = [marks.cell("bank", row.pk, name, text) for name, text in values.items()]
        lines.append(_line(row, cells))
    return lines


def bone_line(bone: Bone, marks: Marks) -> Line:
    """A backbone with its tees in order."""
    row = bone.row
    ohms = f"{row.measured_ohms:g} Ω" if row.measured_ohms is not None else ""
    values = {"cable": row.get_cable_display(), "measured_ohms": ohms, "tees": str(len(bone.tees))}
    cells = [marks.cell("backbone", row.pk, name, text) for name, text in values.items()]
    return _line(row, cells, tees=[_tee(bone, tee) for tee in bone.tees], loads=_loads(bone))


def _tee(bone: Bone, tee: Tee) -> dict[str, object]:
    run = bone.runs.get(tee.pk)
    feeds = bone.feeds.get(tee.pk, [])
    power = [f"{amps(feed.fuse_ma)} fuse" if feed.fuse_ma else "fuse not known" for feed in feeds]
    return {
        "row": tee,
        "run": metres(run.metres) if run else "not known",
        "first": tee is bone.tees[0],
        "drops": [
            {
                "name": drop.unit.name if drop.unit_id else drop.node or "not named",
                "length": metres(drop.metres or None),
                "load": drop.load_units,
            }
            for drop in bone.drops.get(tee.pk, [])
        ],
        "power": ", ".join(power),
    }


def _loads(bone: Bone) -> str:
    loads = [drop.load_units for drops in bone.drops.values() for drop in drops]
    known = [load for load in loads if load is not None]
    if not known:
        return ""
    unknown = len(loads) - len(known)
    words = f"{sum(known)} LEN"
    return f"{words}, and {unknown} of {len(loads)} drops not known" if unknown else words


def cautions(boat: Boat, aboard: Aboard) -> list[str]:
    """What must be read before anybody works on this boat; what is not known counts as there."""
    said = []
    if not boat.fuel:
        said.append(
            "Fuel is not recorded: treat closed spaces as if petrol vapour were there "
            "(33 CFR 183.410), and place nothing before it is known."
        )
    elif boat.fuel.startswith("gasoline"):
        said.append(
            "Gasoline aboard: what is not ignition-protected stays out of vapour spaces, or behind "
            "a bulkhead, or 2 ft off in the open air (33 CFR 183.410). Closed spaces with a tank, "
            "a fill or a portable can count as vapour spaces, with an outboard too."
        )
    if any(not bank.chemistry for bank in aboard.banks):
        said.append("A bank's chemistry is not known: treat it as lithium until it is seen.")
    if any(bank.chemistry == "lithium" for bank in aboard.banks):
        said.append(
            "Lithium bank: its manager may cut off at once, and every unit on it goes dark."
        )
    if boat.passengers:
        said.append("Carries passengers for hire: other rules apply (46 CFR 183).")
    return said


def sheet_facts(boat: Boat, aboard: Aboard, marks: Marks) -> dict[str, object]:
    """All that the sheet's template shows."""
    return {
        "facts": boat_facts(boat, marks),
        "units": [unit_line(unit, marks) for unit in aboard.units],
        "cables": [cable_line(aboard, cable, marks) for cable in aboard.cables],
        "locations": location_lines(aboard, marks),
        "routes": route_lines(aboard, marks),
        "banks": bank_lines(aboard, marks),
        "bones": [bone_line(bone, marks) for bone in aboard.bones],
        "cautions": cautions(boat, aboard),
        "disputes": named_disputes(aboard, marks),
    }


def _now(mark: Mark | None) -> str:
    return mark.value if mark else "nothing"


def named_disputes(aboard: Aboard, marks: Marks) -> list[dict[str, object]]:
    """Disputed values with the words for what they are of and what holds against them."""
    names: dict[tuple[str, int], str] = {("boat", aboard.boat.pk): aboard.boat.name}
    for slot, rows in [
        ("unit", aboard.units),
        ("cable", aboard.cables),
        ("bank", aboard.banks),
        ("location", aboard.locations),
        ("route", aboard.routes),
        ("backbone", [bone.row for bone in aboard.bones]),
    ]:
        names |= {(slot, row.pk): str(row) for row in rows}
    return [
        {
            "row": row,
            "of": names.get((slot, number), f"a {slot} no longer aboard"),
            "holds": marks.by.get((slot, number, fact)),
            "now": _now(marks.by.get((slot, number, fact))),
        }
        for (slot, number, fact), rows in marks.disputes.items()
        for row in rows
    ]
