"""The whole layout of a drawing: tries heights and track counts until everything finds room."""

from dataclasses import dataclass

from .cards import Card, Columns, build_columns, place_columns
from .facts import BoatSheet
from .grid import Grid, NoRoomError, choose_grid
from .hull import Hull, Pill, fit_hull, place_pills
from .routes import Router, Wire, give_tracks, route_run, trace
from .trunk import Trunk, lay_trunk

LEAST_SHARE, BOW_ROOM, STERN_ROOM = 0.43, 8.0, 14.0
TALLER_STEP, MOST_TRIES = 60.0, 60


@dataclass
class Layout:
    """Everything with its place; `top` and `bottom` bound the part between heading and legend."""

    grid: Grid
    columns: Columns
    hull: Hull
    pills: list[Pill]
    trunks: list[Trunk]
    wires: list[Wire]
    top: float
    bottom: float


def lay_out(sheet: BoatSheet, *, width: int, top: float) -> Layout:
    """Return the layout of a sheet below y = `top`; the same sheet gives the same layout."""
    grid = choose_grid(width, len(sheet.backbone))
    extra, loose = 0.0, False
    for _ in range(MOST_TRIES):
        try:
            layout = _try(sheet, grid, top, extra, loose=loose)
        except NoRoomError:
            extra += TALLER_STEP if loose else 0.0
            loose = True
            continue
        used = give_tracks(layout.wires)
        if used[0] <= grid.tracks[0] and used[1] <= grid.tracks[1]:
            for wire in layout.wires:
                trace(wire, grid)
            return layout
        grid = grid.with_tracks(used)
    raise NoRoomError(sheet.name)


def _try(sheet: BoatSheet, grid: Grid, top: float, extra: float, *, loose: bool) -> Layout:
    columns = build_columns(sheet, grid, least=_least_height(sheet, grid) + extra)
    bottom = top + columns.height
    hull = fit_hull(sheet, grid, top=top + BOW_ROOM, height=columns.height - BOW_ROOM - STERN_ROOM)
    place_columns(columns, top=top, hull_top=hull.top, hull_height=hull.height)
    sides = _sides_of_places(columns.cards)
    pills = place_pills(columns.spots, hull, grid, sides=sides, ends=(top, bottom))
    boxes = [pill.box for pill in pills]
    router = Router(grid, columns.pins, boxes, (top, bottom), loose=loose)
    trunks = [
        lay_trunk(bone, number, router, hull, columns.pins, pills)
        for number, bone in enumerate(sheet.backbone, 1)
    ]
    wires = [wire for trunk in trunks for wire in trunk.wires]
    wires += _route_runs(sheet, router, columns)
    return Layout(grid, columns, hull, pills, trunks, wires, top, bottom)


def _least_height(sheet: BoatSheet, grid: Grid) -> float:
    marks = max((len(bone.tees) for bone in sheet.backbone), default=0)
    return max(grid.asked * LEAST_SHARE, marks * 16 + 120, len(sheet.places) * 34 + 40)


def _sides_of_places(cards: list[Card]) -> dict[str, int]:
    sides: dict[str, int] = {}
    for card in cards:
        if card.spot:
            sides.setdefault(card.spot.place.id, card.side)
    return sides


def _route_runs(sheet: BoatSheet, router: Router, columns: Columns) -> list[Wire]:
    wires = []
    for index, run in enumerate(sheet.runs, 1):
        first, second = [pin for pin in columns.pins if pin.net == f"run-{index}"]
        wires.append(route_run(router, f"run-{index}", run.fate, first, second))
    return wires
