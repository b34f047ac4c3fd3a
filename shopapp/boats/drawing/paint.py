"""Plates, cards and places put on the canvas; fate is told by outline, sign and word."""

from .cards import BADGE, HEAD_SIZE, Card
from .grid import PORT, Grid
from .hull import PILL_LINE, PILL_SIZE, Pill
from .ink import INK, PAPER, QUIET, Canvas
from .plates import (
    CHIP,
    FATE_STEP,
    LABEL_RISE,
    LABEL_SIZE,
    LABEL_STEP,
    NAME_SIZE,
    PAD,
    SIGN,
    SMALL_SIZE,
    UNLISTED,
    Pin,
    PlateBox,
    check_words,
    fate_words,
)

OUTLINE = {
    "kept": {"stroke_width": 1.0},
    "new": {"stroke_width": 3.0},
    "updated": {"stroke_width": 1.25},
    "replaced": {"stroke_width": 3.0},
    "removed": {"stroke_width": 1.25, "stroke_dasharray": "6 4"},
    "off-network": {"stroke_width": 1.25, "stroke_dasharray": "1.5 3"},
    UNLISTED: {"stroke_width": 1.25, "stroke_dasharray": "10 3 2 3"},
}
# Signs in a square of SIGN px: a dash, a plus, a cross, an arrow up, two arrows, a barred ring.
CHECK_PATHS = {
    "stop": "M4 0.5H9L12.5 4V9L9 12.5H4L0.5 9V4ZM3 6.5H10",
    "look": "M6.5 1L12.5 12H0.5ZM6.5 4.5V8.5M6.5 10V10.8",
    "unknown": "M3.5 4A3 3 0 1 1 6.5 7V9M6.5 11V12.5",
}
SIGN_PATHS = {
    "kept": "M0 6.5H13",
    "new": "M2.5 6.5H10.5M6.5 2.5V10.5",
    "removed": "M1 1L12 12M12 1L1 12",
    "updated": "M6.5 13V1.5M2 6.5L6.5 1.5L11 6.5",
    "replaced": "M0 4H12M8.5 1L12 4L8.5 7M13 9.5H1M4.5 6.8L1 9.5L4.5 12.5",
    UNLISTED: "M3.5 4A3 3 0 1 1 6.5 7V9M6.5 11V13",
    "off-network": "M10.5 2.5L2.5 10.5M6.5 1A5.5 5.5 0 1 0 6.51 1",
}


def is_gone(plate: PlateBox) -> bool:
    """Say whether the plate stands for a unit that comes out."""
    unit = plate.unit
    return unit.fate == "removed" or (unit.fate == "replaced" and not unit.model_after)


def look_of(plate: PlateBox) -> str:
    """Return the fate whose sign and outline the plate wears."""
    return UNLISTED if plate.unit.kind == UNLISTED else plate.unit.fate


def paint_card(canvas: Canvas, card: Card, grid: Grid) -> None:
    """Draw the heading of a card and its plates."""
    left = grid.edge(card.side) - (grid.plate if card.side == PORT else 0)
    letter = card.spot.letter if card.spot else "?"
    with canvas.on("units", class_="dw-card"):
        _badge(canvas, left + BADGE / 2, card.top + BADGE / 2, letter)
        at = (left + BADGE + 7, card.top + BADGE / 2 + 4.5)
        canvas.texts(at, card.heads, HEAD_SIZE, bold=True)
    for plate in card.plates:
        paint_plate(canvas, plate, left, card.side, grid)


def _badge(canvas: Canvas, x: float, y: float, letter: str) -> None:
    canvas.shape("circle", class_="dw-badge", cx=x, cy=y, r=BADGE / 2, fill=INK)
    size = 12.0 if len(letter) == 1 else 10.0
    canvas.text(
        (x, y + size * 0.36),
        letter,
        size,
        bold=True,
        anchor="middle",
        fill=PAPER,
        cls="dw-on-ink",
    )


def paint_plate(canvas: Canvas, plate: PlateBox, left: float, side: int, grid: Grid) -> None:
    """Draw one plate with its words and its pins."""
    unit = plate.unit
    with canvas.on("units", class_=f"dw-unit dw-{unit.fate}", data_unit=unit.id):
        canvas.title(unit.name)
        _outline(canvas, plate, left, grid.plate)
        text_left = left + PAD + (0 if side == PORT else CHIP)
        _words(canvas, plate, text_left, grid)
        for pin in plate.pins:
            paint_pin(canvas, pin, grid)


def _outline(canvas: Canvas, plate: PlateBox, left: float, width: float) -> None:
    fate = "removed" if is_gone(plate) else look_of(plate)
    box = {"x": left, "y": plate.top, "width": width, "height": plate.height, "rx": 3.0}
    canvas.shape("rect", class_="dw-plate", **box, fill=PAPER, stroke=INK, **OUTLINE[fate])
    if fate == "updated":
        inner = {"x": left + 3, "y": plate.top + 3, "width": width - 6, "rx": 1.5}
        canvas.shape(
            "rect",
            class_="dw-plate-inner",
            **inner,
            height=plate.height - 6,
            fill="none",
            stroke=INK,
            stroke_width=0.75,
        )


def _words(canvas: Canvas, plate: PlateBox, left: float, grid: Grid) -> None:
    gone = is_gone(plate)
    y = canvas.texts(
        (left, plate.top + 5 + NAME_SIZE), plate.names, NAME_SIZE, bold=True, struck=gone
    )
    quiet = {"fill": QUIET, "cls": "dw-quiet"}
    old = gone or bool(plate.afters)
    y = canvas.texts((left, y - 1), plate.models, SMALL_SIZE, struck=old, **quiet)
    y = canvas.texts((left, y), plate.afters, SMALL_SIZE)
    paint_sign(canvas, look_of(plate), left, y - SIGN + 2.5)
    bold = look_of(plate) != "kept"
    for line in fate_words(plate.unit, grid):
        canvas.text((left + SIGN + 6, y), line, SMALL_SIZE, bold=bold)
        y += FATE_STEP
    checks = check_words(plate.unit, grid)
    if checks:
        paint_check(canvas, plate.unit.check[0], left, y - SIGN + 2.5)
    for line in checks:
        canvas.text((left + SIGN + 6, y), line, SMALL_SIZE, bold=True)
        y += FATE_STEP


def paint_check(canvas: Canvas, state: str, x: float, y: float) -> None:
    """Draw the sign of a check: a filled bar in a ring for stop, a triangle, a ring with a dot."""
    line = {"class_": f"dw-line dw-check-{state}", "fill": "none", "stroke": INK}
    where = f"translate({x:.1f} {y:.1f})"
    canvas.shape("path", **line, stroke_width=1.75, transform=where, d=CHECK_PATHS[state])


def paint_sign(canvas: Canvas, fate: str, x: float, y: float) -> None:
    """Draw the sign of a fate in a square of SIGN px with its upper left corner at (x, y)."""
    line = {"class_": "dw-line", "fill": "none", "stroke": INK, "stroke_width": 1.75}
    if fate == "new":
        canvas.shape("rect", class_="dw-solid", x=x, y=y, width=SIGN, height=SIGN, rx=2, fill=INK)
        line = {**line, "class_": "dw-line-on-ink", "stroke": PAPER}
    canvas.shape("path", **line, transform=f"translate({x:.1f} {y:.1f})", d=SIGN_PATHS[fate])


def paint_pin(canvas: Canvas, pin: Pin, grid: Grid) -> None:
    """Draw a port's chip with its number (or a dot for a drop) and the label along its line."""
    edge = grid.edge(pin.side)
    middle = edge + pin.side * (CHIP / 2 + 2)
    if pin.port is not None:
        _chip(canvas, pin, middle)
    elif pin.kind == "drop":
        canvas.shape("circle", class_="dw-solid", cx=edge, cy=pin.y, r=4.0, fill=INK)
    else:
        _chip(canvas, pin, middle)
    start = edge - pin.side * 7
    anchor = "start" if pin.side == PORT else "end"
    if pin.kind == "spare":
        canvas.text(
            (start, pin.y + 4), "spare", LABEL_SIZE, anchor=anchor, fill=QUIET, cls="dw-quiet"
        )
        return
    y = pin.y - LABEL_RISE - (len(pin.lines) - 1) * LABEL_STEP
    look = {"anchor": anchor, "struck": pin.fate == "removed"}
    for index, line in enumerate(pin.lines):
        canvas.text((start, y), line, LABEL_SIZE, bold=index < pin.strong, **look)
        y += LABEL_STEP


def _chip(canvas: Canvas, pin: Pin, middle: float) -> None:
    filled = pin.kind != "spare"
    side = CHIP - 2
    canvas.shape(
        "rect",
        class_="dw-solid" if filled else "dw-plate",
        x=middle - side / 2,
        y=pin.y - side / 2,
        width=side,
        height=side,
        rx=2.0,
        fill=INK if filled else PAPER,
        stroke=INK,
        stroke_width=1.0,
    )
    words = "?" if pin.port is None else str(pin.port)
    size = 11.0 if len(words) == 1 else 9.0
    look = {"fill": PAPER, "cls": "dw-on-ink"} if filled else {}
    canvas.text((middle, pin.y + 4), words, size, bold=True, anchor="middle", **look)


def paint_pill(canvas: Canvas, pill: Pill) -> None:
    """Draw a place inside the hull: its letter and its name."""
    box = pill.box
    with canvas.on("notes", class_="dw-place", data_place=pill.spot.place.id):
        canvas.title(pill.spot.place.name)
        canvas.shape(
            "rect",
            class_="dw-zone",
            x=box.x,
            y=box.y,
            width=box.width,
            height=box.height,
            rx=12.0,
            fill=PAPER,
            stroke=INK,
            stroke_width=1.0,
        )
        _badge(canvas, box.x + BADGE / 2 + 2, box.y + box.height / 2, pill.spot.letter)
        text_height = (len(pill.lines) - 1) * PILL_LINE
        y = box.y + box.height / 2 - text_height / 2 + 4
        for line in pill.lines:
            canvas.text((box.x + BADGE + 7, y), line, PILL_SIZE)
            y += PILL_LINE
