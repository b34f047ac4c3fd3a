"""Lines put on the canvas: Ethernet runs single, backbones and drops double, each by its fate."""

from itertools import pairwise

from .ink import INK, PAPER, Canvas, Point, round_path
from .paint import paint_check
from .plates import SIGN
from .routes import Wire
from .trunk import END_HALF, NOTE_SIZE, SIGN_ROOM, Mark, Note, Trunk
from .words import LINE_STEP, text_width

ETHERNET = {"kept": 1.25, "new": 3.25, "removed": 1.25}
DROP = {"kept": (3.75, 1.75), "new": (6.0, 1.5), "removed": (3.75, 1.75)}
DASH = "6 4"


def paint_wire(canvas: Canvas, wire: Wire, name: str) -> None:
    """Draw one run or drop."""
    path = round_path(wire.points)
    extra = {"data_run": wire.net} if wire.kind == "ethernet" else {"data_drop": wire.net}
    with canvas.on("lines", class_=f"dw-{wire.kind} dw-{wire.fate}", **extra):
        canvas.title(name)
        if wire.kind == "ethernet":
            paint_single(canvas, path, wire.fate)
        else:
            paint_double(canvas, path, wire.fate)
        if wire.fate == "removed":
            for at in strike_spots(wire.points):
                paint_strike(canvas, at)
    for start, end in pairwise(wire.points):
        canvas.lines.append((wire.net, start, end))


def paint_single(canvas: Canvas, path: str, fate: str) -> None:
    """Draw an Ethernet line along path data."""
    canvas.shape(
        "path",
        class_="dw-line",
        d=path,
        fill="none",
        stroke=INK,
        stroke_width=ETHERNET[fate],
        stroke_dasharray=DASH if fate == "removed" else None,
    )


def paint_double(canvas: Canvas, path: str, fate: str, widths: Point | None = None) -> None:
    """Draw a double line along path data, dashed when it comes out."""
    outer, inner = widths or DROP[fate]
    dash = DASH if fate == "removed" else None
    look = {"d": path, "fill": "none"}
    canvas.shape(
        "path",
        class_="dw-line",
        **look,
        stroke=INK,
        stroke_width=outer,
        stroke_dasharray=dash,
    )
    canvas.shape("path", class_="dw-core", **look, stroke=PAPER, stroke_width=inner)


def strike_spots(points: list[Point]) -> list[Point]:
    """Return where a line that comes out is struck: mid-way of all stretches but the labelled."""
    inner = list(pairwise(points))[1:-1]
    spots = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in inner]
    return spots or [((points[0][0] + points[-1][0]) / 2, points[0][1])]


def paint_strike(canvas: Canvas, at: Point) -> None:
    """Draw a cross on a line."""
    x, y = at
    canvas.shape(
        "path",
        class_="dw-line",
        d=f"M{x - 4:.1f} {y - 4:.1f}l8 8m0 -8l-8 8",
        fill="none",
        stroke=INK,
        stroke_width=1.75,
    )


def paint_trunk(canvas: Canvas, trunk: Trunk) -> None:
    """Draw a backbone: its line, tees, terminators, feed and words."""
    x, marks = trunk.x, trunk.marks
    with canvas.on("lines", class_="dw-backbone", data_backbone=str(trunk.number)):
        canvas.title(trunk.bone.name)
        path = f"M{x:.1f} {marks[0].y:.1f}V{marks[-1].y:.1f}"
        paint_double(canvas, path, "kept", (7.0, 3.5))
        for mark in marks:
            paint_mark(canvas, mark, x)
    with canvas.on("notes", class_="dw-backbone-words"):
        for mark in marks:
            if mark.note:
                paint_note(canvas, mark.note)
    canvas.lines.append((f"backbone-{trunk.number}", (x, marks[0].y), (x, marks[-1].y)))


def paint_note(canvas: Canvas, note: Note) -> None:
    """Write the words beside a mark, and the sign of what a check found."""
    y = note.y
    for line in note.lines:
        canvas.text((note.x, y), line, NOTE_SIZE, anchor=note.anchor)
        y += NOTE_SIZE * LINE_STEP
    if note.state:
        wide = text_width(note.lines[-1], NOTE_SIZE)
        beside = {"start": wide + 4, "middle": -wide / 2 - SIGN_ROOM, "end": -wide - SIGN_ROOM}
        last = y - NOTE_SIZE * LINE_STEP
        paint_check(canvas, note.state, note.x + beside[note.anchor], last - SIGN + 2.5)


def paint_mark(canvas: Canvas, mark: Mark, x: float) -> None:
    """Draw a tee, a feed or a terminator on a trunk at x."""
    solid = {"class_": "dw-solid", "fill": INK}
    hollow = {"class_": "dw-plate", "fill": PAPER, "stroke": INK, "stroke_width": 1.5}
    y = mark.y
    if mark.kind == "drop":
        canvas.shape("circle", **solid, cx=x, cy=y, r=5.0)
    elif mark.kind in {"spare", "unknown"}:
        canvas.shape("circle", **hollow, cx=x, cy=y, r=5.0)
    elif mark.kind == "power":
        canvas.shape("path", **solid, d=f"M{x - 8:.1f} {y:.1f}l8 -8l8 8l-8 8z")
        bolt = f"M{x + 1:.1f} {y - 6:.1f}l-4 7h3l-1 5l4 -7h-3z"
        canvas.shape("path", class_="dw-core-fill", d=bolt, fill=PAPER)
    elif mark.kind == "end":
        canvas.shape("rect", **solid, x=x - 8, y=y - END_HALF + 1, width=16.0, height=14.0, rx=2.0)
        look = {"fill": PAPER, "cls": "dw-on-ink"}
        canvas.text((x, y + 4), "T", 11.0, bold=True, anchor="middle", **look)
    else:
        box = {"x": x - 8, "y": y - END_HALF + 1, "width": 16.0, "height": 14.0, "rx": 2.0}
        canvas.shape("rect", **hollow, **box, stroke_dasharray="3 2")
        canvas.text((x, y + 4), "!", 11.0, bold=True, anchor="middle")
