"""Ways for lines: rows across the hull and tracks down its sides, so that no two lie on another.

A line leaves its plate along the row of its pin, under its own label, and turns onto a track
between the labels and the hull. Lines cross each other at right angles; a line never runs over a
label, and no two share a stretch.
"""

from collections import defaultdict
from dataclasses import dataclass, field

from .grid import SIDES, Grid, NoRoomError
from .ink import Box, Point
from .plates import Pin

ROW_APART, BOX_APART, TRACK_APART = 6.0, 4.0, 12.0
MIDDLE = 0


@dataclass
class Leg:
    """A stretch of a line down a track at one side, from row to row; `track` is given last."""

    side: int
    y_from: float
    y_to: float
    track: int = -1

    @property
    def low(self) -> float:
        """The upper end, by y."""
        return min(self.y_from, self.y_to)

    @property
    def high(self) -> float:
        """The lower end, by y."""
        return max(self.y_from, self.y_to)


@dataclass
class Wire:
    """One line from pin to pin or to a tee at `end`; the first leg leaves the first pin."""

    net: str
    kind: str
    fate: str
    pins: tuple[Pin, ...]
    legs: tuple[Leg, ...]
    end: Point | None = None
    points: list[Point] = field(default_factory=list)


class Router:
    """Keeps what rows are taken, at port, at starboard and in the middle.

    `loose` lets a backbone run on beyond a hull that is too short for its tees.
    """

    def __init__(
        self, grid: Grid, pins: list[Pin], boxes: list[Box], ends: Point, *, loose: bool
    ) -> None:
        self.loose = loose
        self.grid, self.boxes, self.ends = grid, boxes, ends
        self.rows: dict[int, list[float]] = defaultdict(list)
        for pin in pins:
            if pin.kind != "spare":
                self.rows[pin.side].append(pin.y)

    def is_free(
        self, y: float, sides: tuple[int, ...], span: Point, own: tuple[float, ...]
    ) -> bool:
        """Say whether a row at y may run through these sides and over the span of the middle.

        At a side whose own pin stands at exactly y the row simply goes on from the pin.
        """
        if not self.ends[0] <= y <= self.ends[1]:
            return False
        for side in sides:
            for taken in self.rows[side]:
                if abs(taken - y) < ROW_APART and not (side and taken == y and y in own):
                    return False
        row = Box(span[0], y, span[1] - span[0], 0.1)
        return not any(row.meets(box, BOX_APART) for box in self.boxes)

    def take(self, y: float, sides: tuple[int, ...]) -> None:
        """Keep a row."""
        for side in sides:
            self.rows[side].append(y)

    def find_row(self, first: float, second: float) -> float:
        """Return the row of a line that crosses the hull between pins at those y."""
        sides = (*SIDES, MIDDLE)
        middle = (first + second) / 2
        tries = [first, second]
        reach = int(max(middle - self.ends[0], self.ends[1] - middle)) + 1
        tries += [middle + way * step for step in range(0, reach, 2) for way in (1, -1)]
        for y in tries:
            if self.is_free(y, sides, self.grid.zone, (first, second)):
                self.take(y, sides)
                return y
        raise NoRoomError("a run across the hull")


def route_run(router: Router, net: str, fate: str, first: Pin, second: Pin) -> Wire:
    """Return the wire between two pins, its legs not yet on tracks."""
    if first.side == second.side:
        legs = (Leg(first.side, first.y, second.y),)
        return Wire(net, "ethernet", fate, (first, second), legs)
    row = router.find_row(first.y, second.y)
    legs = (Leg(first.side, first.y, row), Leg(second.side, row, second.y))
    return Wire(net, "ethernet", fate, (first, second), legs)


def give_tracks(wires: list[Wire]) -> tuple[int, int]:
    """Put every leg on the outermost free track of its side, short ones first; count tracks."""
    taken: dict[tuple[int, int], list[Leg]] = defaultdict(list)
    legs = [leg for wire in wires for leg in wire.legs if leg.y_from != leg.y_to]
    for leg in sorted(legs, key=lambda leg: (leg.high - leg.low, leg.low, leg.side)):
        track = 0
        while any(_too_near(leg, other) for other in taken[leg.side, track]):
            track += 1
        leg.track = track
        taken[leg.side, track].append(leg)
    counts = [max((t + 1 for s, t in taken if s == side), default=0) for side in SIDES]
    return counts[0], counts[1]


def _too_near(leg: Leg, other: Leg) -> bool:
    return leg.low < other.high + TRACK_APART and other.low < leg.high + TRACK_APART


def trace(wire: Wire, grid: Grid) -> None:
    """Set the points of a wire whose legs are on their tracks."""
    first = wire.pins[0]
    points = [(grid.edge(first.side), first.y)]
    for leg in wire.legs:
        if leg.y_from != leg.y_to:
            x = grid.track(leg.side, leg.track)
            points += [(x, leg.y_from), (x, leg.y_to)]
    if wire.end:
        points.append(wire.end)
    else:
        last = wire.pins[1]
        points.append((grid.edge(last.side), last.y))
    wire.points = points
