"""The boat from above, bow up: its outline from length and beam, and its places inside it."""

from dataclasses import dataclass, replace

from .cards import BADGE, Spot
from .facts import BoatSheet
from .grid import PORT, STARBOARD, Grid, NoRoomError
from .ink import DECK, FAINT, Box, Canvas
from .words import text_width, wrap

USUAL_BEAM_SHARE = 0.34
PILL_SIZE, PILL_STEP, PILL_LINE = 12.0, 6.0, 15.0
HALF_TRUNK = 12.0
# Half outlines from bow to stern on a unit boat: (half beam, way from bow), as cubic curves.
OUTLINES = {
    "open": (((0.0, 0.0), (0.26, 0.08), (0.5, 0.24), (0.5, 0.5)), ((0.5, 0.72), (0.47, 1.0))),
    "cruiser": (((0.0, 0.0), (0.34, 0.05), (0.5, 0.2), (0.5, 0.42)), ((0.5, 0.75), (0.44, 1.0))),
    "sail": (((0.0, 0.0), (0.2, 0.12), (0.5, 0.34), (0.5, 0.58)), ((0.5, 0.82), (0.34, 1.0))),
    "work": (((0.1, 0.0), (0.4, 0.01), (0.5, 0.12), (0.5, 0.3)), ((0.5, 0.7), (0.48, 1.0))),
}
KIND_SHAPES = (("sail", "sail"), ("work", "work"), ("open", "open"), ("console", "open"))


MAST = (0, 0.36, 0.05, 0.018, 0.02)
Curve = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Hull:
    """Centre, top, full width and height in px; `beam_known` False when drawn by proportion."""

    x: float
    top: float
    width: float
    height: float
    shape: str
    beam_known: bool


@dataclass
class Pill:
    """A place inside the hull: its letter and, where there is room, its name."""

    spot: Spot
    box: Box
    lines: tuple[str, ...]


def choose_shape(kind: str) -> str:
    """Return the outline for a kind of boat, a cruiser's where the kind says nothing."""
    words = kind.lower()
    return next((shape for key, shape in KIND_SHAPES if key in words), "cruiser")


def fit_hull(sheet: BoatSheet, grid: Grid, *, top: float, height: float) -> Hull:
    """Return the largest hull in true proportion that fits between the labels."""
    left, right = grid.hull
    x = sum(grid.zone) / 2
    known = bool(sheet.beam_ft and sheet.length_ft > 0)
    share = sheet.beam_ft / sheet.length_ft if known else USUAL_BEAM_SHARE
    share = min(0.7, max(0.12, share))
    tall = min(height, 2 * min(x - left, right - x) / share)
    y = top + (height - tall) / 2
    return Hull(x, y, tall * share, tall, choose_shape(sheet.kind), known)


def _half(hull: Hull, sign: int, inset: float) -> list[str]:
    """Return the points of one half outline, bow to stern, as "x y"."""
    wide, tall = hull.width - 2 * inset, hull.height - 2 * inset
    first, last = OUTLINES[hull.shape]
    return [
        f"{hull.x + sign * half * wide:.1f} {hull.top + inset + way * tall:.1f}"
        for half, way in (*first, *last)
    ]


def half_width(hull: Hull, y: float) -> float:
    """Return about how wide the hull is at y from its centre line, 0 beyond its ends."""
    way = (y - hull.top) / hull.height
    if not 0 <= way <= 1:
        return 0.0
    curve = OUTLINES[hull.shape][0]
    steps = [_on_curve(curve, step / 24) for step in range(25)]
    half = next((half for half, at in steps if at >= way), None)
    stern = OUTLINES[hull.shape][1][-1][0]
    if half is None:
        start = curve[-1][1]
        half = 0.5 - (0.5 - stern) * ((way - start) / (1 - start)) ** 2
    return half * hull.width


def _on_curve(curve: Curve, t: float) -> tuple[float, float]:
    shares = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
    return (
        sum(share * point[0] for share, point in zip(shares, curve, strict=True)),
        sum(share * point[1] for share, point in zip(shares, curve, strict=True)),
    )


def find_wide(hull: Hull, half: float) -> float:
    """Return y from which on, coming from the bow, the hull is `half` px wide; its top if never."""
    for step in range(60):
        y = hull.top + hull.height * step / 120
        if half_width(hull, y) >= half:
            return y
    return hull.top


def outline(hull: Hull, inset: float = 0.0) -> str:
    """Return the path data of the outline, `inset` px inside it."""
    star, port = _half(hull, 1, inset), _half(hull, -1, inset)
    return (
        f"M{star[0]}C{star[1]} {star[2]} {star[3]}Q{star[4]} {star[5]}L{port[5]}"
        f"Q{port[4]} {port[3]}C{port[2]} {port[1]} {port[0]}Z"
    )


def draw_hull(canvas: Canvas, hull: Hull) -> None:
    """Draw outline, inner rail, and the few deck lines that tell one kind of boat from another."""
    dash = None if hull.beam_known else "10 5"
    with canvas.on("hull", class_="dw-hull"):
        canvas.shape(
            "path",
            class_="dw-deck",
            d=outline(hull),
            fill=DECK,
            stroke="#15201d",
            stroke_width=1.5,
            stroke_linejoin="round",
            stroke_dasharray=dash,
        )
        look = {"class_": "dw-faint", "fill": "none", "stroke": FAINT, "stroke_width": 1.0}
        canvas.shape("path", d=outline(hull, hull.width * 0.055), **look)
        for x, y, wide, tall, round_ in deck_parts(hull.shape):
            canvas.shape(
                "rect",
                x=hull.x + (x - wide / 2) * hull.width,
                y=hull.top + y * hull.height,
                width=wide * hull.width,
                height=tall * hull.height,
                rx=round_ * hull.width,
                **look,
            )


def deck_parts(shape: str) -> tuple[tuple[float, float, float, float, float], ...]:
    """Return deck lines as (x from centre, y from bow, width, height, corner), shares of the hull.

    Console and seat; cabin house and cockpit; cabin trunk, cockpit and mast; wheelhouse and hold.
    """
    parts = {
        "open": ((0, 0.4, 0.34, 0.17, 0.05), (0, 0.61, 0.3, 0.05, 0.03)),
        "cruiser": ((0, 0.17, 0.6, 0.36, 0.24), (0, 0.6, 0.7, 0.3, 0.05)),
        "sail": (
            (0, 0.26, 0.42, 0.36, 0.16),
            (0, 0.68, 0.38, 0.24, 0.06),
            (0, 0.36, 0.05, 0.018, 0.02),
        ),
        "work": ((0, 0.16, 0.66, 0.26, 0.08), (0, 0.52, 0.7, 0.38, 0.03)),
    }
    return parts[shape]


def place_pills(
    spots: list[Spot], hull: Hull, grid: Grid, *, sides: dict[str, int], ends: tuple[float, float]
) -> list[Pill]:
    """Set every place as near to where it lies as it goes, clear of the others and the trunk.

    `sides` says on which side the plates of a place stand; `ends` are the least and greatest y.
    """
    pills: list[Pill] = []
    for spot in spots:
        side = PORT if spot.y < 0.5 else STARBOARD
        if 0.3 <= spot.y <= 0.7:
            side = sides.get(spot.place.id, side)
        pill = _make_pill(spot, hull, *half_zone(grid, hull, side))
        pill.box = _clear_of(pill.box, [other.box for other in pills], ends)
        pills.append(pill)
    return pills


def half_zone(grid: Grid, hull: Hull, side: int) -> tuple[float, float]:
    """Return from x to x the room at one side of the trunks, the whole middle without any."""
    left, right = grid.zone
    if not grid.trunks:
        return left, right
    inner = hull.x + side * HALF_TRUNK * grid.trunks
    return (left, inner) if side == PORT else (inner, right)


def _make_pill(spot: Spot, hull: Hull, left: float, right: float) -> Pill:
    room = right - left - BADGE - 14
    lines = wrap(spot.place.name, room, PILL_SIZE) if room > 0 else ()
    if room < max((text_width(word, PILL_SIZE) for word in spot.place.name.split()), default=0):
        lines = ()
    text = max((text_width(line, PILL_SIZE) for line in lines), default=-8)
    wide, tall = BADGE + 4 + 10 + text, max(BADGE + 4, len(lines) * PILL_LINE + 6)
    x = hull.x + (spot.y - 0.5) * hull.width * 0.8 - wide / 2
    x = max(left, min(x, right - wide))
    y = hull.top + (0.03 + (1 - spot.x) * 0.94) * hull.height - tall / 2
    return Pill(spot, Box(x, y, wide, tall, spot.place.name), lines)


def _clear_of(box: Box, others: list[Box], ends: tuple[float, float]) -> Box:
    """Return the box moved up or down as little as will keep it 8 px clear of the others."""
    top, bottom = ends
    box = replace(box, y=min(max(box.y, top), bottom - box.height))
    for step in range(2000):
        for way in (1, -1):
            moved = replace(box, y=box.y + way * step * PILL_STEP)
            inside = top <= moved.y <= bottom - box.height
            if inside and not any(moved.meets(other, 8.0) for other in others):
                return moved
    raise NoRoomError(box.what)
