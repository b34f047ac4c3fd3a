"""The boat's networks as planned: units, cables between ports, backbones."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

MOST_UNITS = 200


class NetworkFault(ValueError):
    """A network or something seen that cannot be read; `field` names the place."""

    def __init__(self, field: str, message: str) -> None:
        self.field = field
        self.message = message
        super().__init__(f"{field}: {message}")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit on the Ethernet. `lights`: a light per port; `most_displays`: what a switch allows."""

    key: str
    name: str
    kind: str
    bridges: bool
    lights: bool
    ports: int
    most_displays: int | None


@dataclass(frozen=True, slots=True)
class End:
    """An end of a cable: unit, port, and whether an adapter lead sits there."""

    unit: str
    port: int
    adapter: bool


@dataclass(frozen=True, slots=True)
class Cable:
    """A cable between two ports."""

    key: str
    ends: tuple[End, End]


@dataclass(frozen=True, slots=True)
class Line:
    """A backbone: segments by key, drops as unit → tee, tees that are fed or terminated."""

    key: str
    tees: tuple[str, ...]
    segments: dict[str, tuple[str, str]]
    drops: dict[str, str]
    feeds: tuple[str, ...]
    ends: tuple[str, ...]
    view: str | None


@dataclass(frozen=True, slots=True)
class Network:
    """All of a boat; `view` is the display at which one looks what is seen on the network."""

    units: dict[str, Unit]
    cables: dict[str, Cable]
    lines: dict[str, Line]
    view: str | None


def read_network(given: Any) -> Network:
    """Read a network of JSON's shape (see DEVELOPERS.md); NetworkFault where it cannot be."""
    rows = _rows(given, "units")
    if len(rows) > MOST_UNITS:
        raise NetworkFault("units", f"{len(rows)} units; at most {MOST_UNITS} are taken.")
    units = {unit.key: unit for unit in map(_unit, rows)}
    cables = {cable.key: cable for cable in map(_cable, _rows(given, "cables"))}
    for cable in cables.values():
        for end in cable.ends:
            if end.unit not in units:
                raise NetworkFault("cables", f"{cable.key} goes to {end.unit}, which is no unit.")
    lines = {line.key: line for line in map(_line, _rows(given, "backbones"))}
    return Network(units, cables, lines, _view(given.get("view"), units, cables))


def _rows(given: Any, field: str) -> list[Any]:
    rows = given.get(field, []) if isinstance(given, Mapping) else None
    if not isinstance(rows, list) or not all(isinstance(row, Mapping) for row in rows):
        raise NetworkFault(field, "A list of objects belongs here.")
    return rows


def _need(row: Mapping[str, Any], field: str, where: str) -> Any:
    if row.get(field) is None or row[field] == "":
        raise NetworkFault(where, f"{field} is missing.")
    return row[field]


def _unit(row: Mapping[str, Any]) -> Unit:
    key = str(_need(row, "id", "units"))
    kind = str(_need(row, "kind", "units"))
    return Unit(
        key=key,
        name=str(row.get("name") or key),
        kind=kind,
        bridges=bool(row.get("bridges", kind == "switch")),
        lights=bool(row.get("lights", False)),
        ports=int(row.get("ports") or 1),
        most_displays=row.get("most_displays"),
    )


def _cable(row: Mapping[str, Any]) -> Cable:
    ends = _need(row, "ends", "cables")
    if not isinstance(ends, list) or len(ends) != 2:
        raise NetworkFault("cables", "A cable has two ends.")
    one, other = (
        End(
            str(_need(end, "unit", "cables")),
            int(_need(end, "port", "cables")),
            bool(end.get("adapter")),
        )
        for end in ends
    )
    return Cable(str(_need(row, "id", "cables")), (one, other))


def _line(row: Mapping[str, Any]) -> Line:
    segments = {
        str(part.get("id") or f"{part['from']}–{part['to']}"): (str(part["from"]), str(part["to"]))
        for part in row.get("segments", [])
    }
    drops = {str(drop["unit"]): str(drop["tee"]) for drop in row.get("drops", [])}
    feeds = tuple(str(feed["tee"]) for feed in row.get("feeds", []))
    ends = tuple(str(tee) for tee in row.get("terminators", []))
    tees = [tee for pair in segments.values() for tee in pair]
    every = tuple(dict.fromkeys([*tees, *drops.values(), *feeds, *ends]))
    view = row.get("view")
    first = next(iter(drops), None)
    return Line(
        str(row.get("id") or "backbone"),
        every,
        segments,
        drops,
        feeds,
        ends,
        str(view) if view in drops else first,
    )


def _view(asked: Any, units: dict[str, Unit], cables: dict[str, Cable]) -> str | None:
    """The display asked for, else the first that is cabled."""
    if asked in units:
        return str(asked)
    cabled = [end.unit for cable in cables.values() for end in cable.ends]
    shows = [key for key in cabled if units[key].kind == "display"]
    return min(shows, default=None)
