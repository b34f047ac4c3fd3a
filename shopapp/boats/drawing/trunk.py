"""A backbone down the middle of the hull: tees in their order, terminators, power feed, spares."""

from dataclasses import dataclass, field
from itertools import pairwise

from .facts import Backbone, Tee, feet_words
from .grid import PORT, STARBOARD, Grid, NoRoomError, spread
from .hull import HALF_TRUNK, Hull, Pill, find_wide, half_width, half_zone
from .ink import Box
from .plates import Pin
from .routes import MIDDLE, Leg, Router, Wire
from .words import LINE_STEP, text_width, wrap

TEE_APART, END_APART, NOTE_SIZE = 13.0, 20.0, 12.0
TIGHT_APART, LOOSE_APART = 28.0, 64.0
END_HALF, BOX_GAP, LEAST_NOTE = 8.0, 5.0, 44.0
SIGN_ROOM = 17.0


@dataclass
class Note:
    """Words beside a mark on the trunk: baseline of the first line, and which end is at x.

    With a `state` the last line is what a check found and has its sign beside it.
    """

    x: float
    y: float
    lines: tuple[str, ...]
    anchor: str
    state: str = ""


@dataclass
class Mark:
    """A tee, power feed or terminator at y; `net` names the drop, if it has one."""

    kind: str
    words: str
    wish: float | None
    net: str = ""
    tee: Tee | None = None
    y: float = 0.0
    note: Note | None = None


@dataclass
class Trunk:
    """One backbone laid out."""

    bone: Backbone
    number: int
    x: float
    marks: list[Mark]
    wires: list[Wire] = field(default_factory=list)


def lay_trunk(
    bone: Backbone, number: int, router: Router, hull: Hull, pins: list[Pin], pills: list[Pill]
) -> Trunk:
    """Set a backbone's marks along the middle and route its drops."""
    grid = router.grid
    x = hull.x + (number - (grid.trunks + 1) / 2) * 2 * HALF_TRUNK
    by_net = {pin.net: pin for pin in pins if pin.kind == "drop"}
    places = {pill.spot.place.id: pill.box.y + pill.box.height / 2 for pill in pills}
    marks = _list_marks(bone, number, by_net, places)
    trunk = Trunk(bone, number, x, marks)
    wishes = _smooth_wishes(marks, router)
    low, bottom = _trunk_ends(bone, router, hull)
    apart = LOOSE_APART if router.loose else TIGHT_APART
    apart = min(apart, (bottom - low) / (len(marks) + 1))
    for index, (mark, wish) in enumerate(zip(marks, wishes, strict=True)):
        high = bottom - (len(marks) - 1 - index) * apart
        seat = _Seat(trunk, mark, by_net.get(mark.net), router, hull)
        mark.y = seat.find(wish, low, high)
        low = mark.y + (END_APART if mark.kind == "end" else TEE_APART)
    return trunk


def _trunk_ends(bone: Backbone, router: Router, hull: Hull) -> tuple[float, float]:
    """Return from y to y where the marks may stand: inside the hull unless it is too short."""
    if router.loose:
        return router.ends
    low = find_wide(hull, text_width(feet_words(bone.feet), NOTE_SIZE) / 2 + 12) + 44
    bottom = hull.top + hull.height - 4
    return low, bottom


def _list_marks(
    bone: Backbone, number: int, pins: dict[str, Pin], places: dict[str, float]
) -> list[Mark]:
    """Return the marks from bow to stern: the given order, or its reverse if that lies nearer."""
    tees = []
    for index, tee in enumerate(bone.tees, 1):
        net = f"drop-{number}-{index}" if tee.unit else ""
        wish = pins[net].y if net else places.get(tee.place or "")
        kind, words = _tee_words(tee)
        tees.append(Mark(kind, words, wish, net, tee))
    ends = [_end_mark(bone.terminator_first), _end_mark(bone.terminator_last)]
    known = [mark.wish for mark in tees if mark.wish is not None]
    if sum(b - a for a, b in pairwise(known)) < 0:
        tees.reverse()
        ends.reverse()
    return [ends[0], *tees, ends[1]]


def _tee_words(tee: Tee) -> tuple[str, str]:
    if tee.unit:
        return "drop", ""
    if tee.power:
        return "power", tee.power
    return ("spare", "spare") if tee.spare else ("unknown", "not known")


def _end_mark(there: bool | None) -> Mark:
    words = {True: "", False: "NO TERMINATOR", None: "terminator not known"}[there]
    return Mark("end" if there else "open-end", words, None)


def _smooth_wishes(marks: list[Mark], router: Router) -> list[float]:
    """Return a wish for every mark, in order; those without one stand by their neighbours."""
    top, bottom = router.ends
    known = [mark.wish for mark in marks if mark.wish is not None] or [(top + bottom) / 2]
    wishes, last = [], known[0] - 30
    for mark in marks:
        last = mark.wish if mark.wish is not None else last + TEE_APART
        wishes.append(last)
    return spread(wishes, [TEE_APART] * len(marks), 0.0, top)


class _Seat:
    """Finds the y for one mark on a trunk, with its words and its drop."""

    def __init__(
        self, trunk: Trunk, mark: Mark, pin: Pin | None, router: Router, hull: Hull
    ) -> None:
        self.trunk, self.mark, self.pin, self.router, self.hull = trunk, mark, pin, router, hull

    def find(self, wish: float, low: float, high: float) -> float:
        tries = [self.pin.y] if self.pin else []
        tries += [wish + way * step for step in range(0, 4000, 2) for way in (1, -1)]
        for y in tries:
            if low <= y <= high and self._take(y):
                return y
        raise NoRoomError("a tee of the backbone")

    def _take(self, y: float) -> bool:
        router, mark = self.router, self.mark
        sides = (MIDDLE, self.pin.side) if self.pin else (MIDDLE,)
        own = (self.pin.y,) if self.pin else ()
        if not router.is_free(y, sides, self._span(), own):
            return False
        is_end = mark.kind.endswith("end")
        if is_end and not self._end(y):
            return False
        if mark.words and not is_end and not self._write(y):
            return False
        router.take(y, sides)
        if self.pin:
            leg = Leg(self.pin.side, self.pin.y, y)
            wire = Wire(mark.net, "drop", mark.tee.fate, (self.pin,), (leg,), (self.trunk.x, y))
            self.trunk.wires.append(wire)
        return True

    def _span(self) -> tuple[float, float]:
        left, right = self.router.grid.zone
        if not self.pin:
            return self.trunk.x - 2, self.trunk.x + 2
        return (left, self.trunk.x) if self.pin.side == PORT else (self.trunk.x, right)

    def _write(self, y: float) -> bool:
        """Find room for the mark's words beside it, at starboard first."""
        outer_first = (PORT, STARBOARD) if self._is_port_trunk() else (STARBOARD, PORT)
        for side in outer_first:
            note, box = side_note(self.mark.words, y, side, self.router.grid, self.hull)
            if self._is_clear(box):
                self.mark.note = note
                self.router.boxes.append(box)
                return True
        return False

    def _is_port_trunk(self) -> bool:
        return self.router.grid.trunks > 1 and self.trunk.x < self.hull.x

    def _is_clear(self, box: Box) -> bool:
        top, bottom = self.router.ends
        if box.y < top or box.y + box.height > bottom:
            return False
        if any(box.meets(other, 3.0) for other in self.router.boxes):
            return False
        rows = self.router.rows[MIDDLE]
        return not any(box.y - BOX_GAP < row < box.y + box.height + BOX_GAP for row in rows)

    def _end(self, y: float) -> bool:
        """Keep free the terminator's box, and beyond it the room for the words of this end."""
        box = Box(self.trunk.x - 9, y - END_HALF, 18, 2 * END_HALF, "terminator")
        note, words = end_note(self.trunk, self.mark, y, self.router.grid, self.hull)
        boxes = [box, words] if words else [box]
        if not all(self._is_clear(each) for each in boxes):
            return False
        self.mark.note = note
        self.router.boxes += boxes
        return True


def side_note(words: str, y: float, side: int, grid: Grid, hull: Hull) -> tuple[Note, Box]:
    """Return words beside the trunks at y, inside the hull if they can be, and their box."""
    left, right = half_zone(grid, hull, side)
    x = left if side == STARBOARD else right
    room = right - left
    inside = half_width(hull, y) - abs(x - hull.x) - 8
    if LEAST_NOTE < inside < room:
        room = inside
    lines = wrap(words, room - 2, NOTE_SIZE)
    return _note(lines, x + side * 2, y - len(lines) * NOTE_SIZE * LINE_STEP / 2, side, words)


def end_note(
    trunk: Trunk, mark: Mark, y: float, grid: Grid, hull: Hull
) -> tuple[Note | None, Box | None]:
    """Return what stands beyond a terminator: at the first the backbone's name and length too.

    One backbone has it on the centre line, several have it outward.
    """
    is_first = mark is trunk.marks[0]
    bone = trunk.bone
    words = [bone.name or "Backbone", feet_words(bone.feet)] if is_first else []
    side, (left, right), x = MIDDLE, grid.zone, trunk.x
    if grid.trunks > 1:
        side = PORT if trunk.x < hull.x else STARBOARD
        left, right = half_zone(grid, hull, side)
        x = (left if side == STARBOARD else right) + side * 2
    room = right - left - 4
    lines = tuple(line for text in (*words, mark.words) for line in wrap(text, room, NOTE_SIZE))
    if not lines:
        return None, None
    # What exactly was found stands in the list under the drawing; here one word and its sign.
    check = bone.check if is_first else ("", "")
    lines += (check[1].partition(":")[0],) if check[1] else ()
    high = len(lines) * NOTE_SIZE * LINE_STEP
    top = y - END_HALF - 4 - high if is_first else y + END_HALF + 4
    return _note(lines, x, top, side, lines[0], state=check[0])


def _note(
    lines: tuple[str, ...], x: float, top: float, side: int, what: str, *, state: str = ""
) -> tuple[Note, Box]:
    wide = max(text_width(line, NOTE_SIZE) for line in lines)
    if state:
        wide = max(wide, text_width(lines[-1], NOTE_SIZE) + 2 * SIGN_ROOM)
    left = {PORT: x - wide, MIDDLE: x - wide / 2, STARBOARD: x}[side]
    anchor = {PORT: "end", MIDDLE: "middle", STARBOARD: "start"}[side]
    box = Box(left, top, wide, len(lines) * NOTE_SIZE * LINE_STEP, what)
    return Note(x, top + NOTE_SIZE * 0.95, lines, anchor, state), box
