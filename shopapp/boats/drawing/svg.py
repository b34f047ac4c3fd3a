"""The finished drawing as SVG text: heading, boat, legend."""

import re
from collections.abc import Iterator

from .cards import list_spots
from .facts import BoatSheet, feet_words
from .grid import MARGIN, NoRoomError
from .hull import draw_hull
from .ink import PAPER, QUIET, Canvas, attributes, clean, number
from .layout import Layout, lay_out
from .paint import paint_card, paint_check, paint_pill, paint_sign
from .plates import SIGN, run_words
from .strokes import paint_double, paint_mark, paint_single, paint_strike, paint_trunk, paint_wire
from .trunk import Mark
from .words import text_width, wrap

TITLE_SIZE, LEGEND_SIZE, LEGEND_STEP = 17.0, 12.0, 22.0
SAMPLE = 34.0
UNIT_LEGEND = (
    ("kept", "stays"),
    ("new", "new"),
    ("updated", "update: release before → after"),
    ("replaced", "replaced"),
    ("removed", "comes out"),
    ("off-network", "off network"),
)
LINE_LEGEND = (
    ("ethernet", "kept", "Ethernet, stays"),
    ("ethernet", "new", "new"),
    ("ethernet", "removed", "out"),
    ("drop", "kept", "backbone and drops"),
    ("drop", "new", "new drop"),
)
FONTS = "system-ui, 'Segoe UI', Roboto, 'Helvetica Neue', 'DejaVu Sans', sans-serif"
MARK_LEGEND = [
    ("mark", "drop", "tee"),
    ("mark", "spare", "spare tee"),
    ("mark", "power", "power feed"),
    ("mark", "end", "terminator"),
    ("words", "", "1 2 3: ports, white when spare"),
]


def draw_boat(sheet: BoatSheet, *, width: int = 1120, key: str = "boat") -> str:
    """Return a complete inline SVG of the boat; `key` makes its ids its own on the page.

    `width` is in px, 760 or more for a boat of ordinary wiring; the height follows from what is
    on the boat. A sheet with too many lines for that width is drawn wider; one that cannot be
    drawn at all comes as a picture that says so and sends the reader to the rows.
    """
    try:
        canvas, size = compose(sheet, width=width)
    except NoRoomError:
        canvas, size = _refuse(sheet, width)
    key = re.sub(r"[^A-Za-z0-9_-]", "-", key)
    wide, tall = number(size[0]), number(size[1])
    head = attributes(
        xmlns="http://www.w3.org/2000/svg",
        class_="dw-drawing",
        role="img",
        aria_labelledby=f"{key}-title {key}-desc",
        width=wide,
        height=tall,
        viewBox=f"0 0 {wide} {tall}",
        font_family=FONTS,
    )
    title = f'<title id="{key}-title">{clean(name_drawing(sheet))}</title>'
    desc = f'<desc id="{key}-desc">{clean(describe(sheet))}</desc>'
    ground = attributes(class_="dw-paper", width=wide, height=tall, fill=PAPER)
    return f"<svg{head}>{title}{desc}<rect{ground}/>\n{canvas.svg_body()}\n</svg>"


def _refuse(sheet: BoatSheet, width: int) -> tuple[Canvas, tuple[float, float]]:
    canvas = Canvas()
    y = _heading(canvas, sheet, width)
    words = "Too much is joined here for one drawing. Every unit and line stands in the table."
    lines = wrap(words, width - 2 * MARGIN, 14.0)
    with canvas.on("notes"):
        y = canvas.texts((MARGIN, y), lines, 14.0, bold=False)
    return canvas, (float(width), y + 10)


def compose(sheet: BoatSheet, *, width: int) -> tuple[Canvas, tuple[float, float]]:
    """Return the filled canvas and its size in px."""
    canvas = Canvas()
    top = _heading(canvas, sheet, width)
    layout = lay_out(sheet, width=width, top=top)
    _sides(canvas, layout)
    draw_hull(canvas, layout.hull)
    _lines(canvas, sheet, layout)
    for card in layout.columns.cards:
        paint_card(canvas, card, layout.grid)
    for pill in layout.pills:
        paint_pill(canvas, pill)
    below = _found(canvas, sheet, layout.bottom + 30, layout.grid.width)
    bottom = _legend(canvas, below, layout.grid.width)
    return canvas, (layout.grid.width, bottom)


def name_drawing(sheet: BoatSheet) -> str:
    """Return the drawing's title."""
    return f"{sheet.name}: drawing of the boat from above"


def describe(sheet: BoatSheet) -> str:
    """Return a sentence that says what the drawing holds and where to read it all."""
    counts = (
        f"{len(sheet.units)} units in {len(sheet.places)} places",
        f"{len(sheet.runs)} Ethernet runs",
        f"{len(sheet.backbone)} backbones",
    )
    return f"{measures(sheet)}. {', '.join(counts)}. The same facts stand in the table."


def measures(sheet: BoatSheet) -> str:
    """Return kind, length and beam in words."""
    beam = f"beam {feet_words(sheet.beam_ft)}"
    if not sheet.beam_ft:
        beam = "beam not known, outline by usual proportion"
    kind = f"{sheet.kind.replace('_', ' ').capitalize()}, " if sheet.kind else ""
    return f"{kind}{feet_words(sheet.length_ft)}, {beam}"


def _heading(canvas: Canvas, sheet: BoatSheet, width: int) -> float:
    """Write name and measures; return y below them."""
    room = width - 2 * MARGIN
    with canvas.on("notes", class_="dw-heading"):
        names = wrap(sheet.name, room, TITLE_SIZE, bold=True, lines=3)
        y = canvas.texts((MARGIN, 24.0), names, TITLE_SIZE, bold=True)
        lines = wrap(measures(sheet), room, 12.0)
        y = canvas.texts((MARGIN, y - 1), lines, fill=QUIET, cls="dw-quiet")
        if not sheet.units:
            y = canvas.texts((MARGIN, y), ("No unit is noted on this boat yet.",), bold=True)
    return y + 22


def _sides(canvas: Canvas, layout: Layout) -> None:
    grid, y = layout.grid, layout.top - 12
    quiet = {"fill": QUIET, "cls": "dw-quiet"}
    with canvas.on("notes", class_="dw-sides"):
        canvas.text((MARGIN, y), "PORT", 11.0, bold=True, **quiet)
        at = (grid.width - MARGIN, y)
        canvas.text(at, "STARBOARD", 11.0, bold=True, anchor="end", **quiet)
        canvas.text((layout.hull.x, y), "BOW", 11.0, bold=True, anchor="middle", **quiet)
        at = (layout.hull.x, layout.bottom + 12)
        canvas.text(at, "STERN", 11.0, bold=True, anchor="middle", **quiet)


def _lines(canvas: Canvas, sheet: BoatSheet, layout: Layout) -> None:
    """Draw backbones and drops first, Ethernet over them, what comes out lowest."""
    names = {f"run-{i}": run_words(run) for i, run in enumerate(sheet.runs, 1)}
    order = ("removed", "kept", "new")
    wires = sorted(layout.wires, key=lambda w: (w.kind == "ethernet", order.index(w.fate)))
    for wire in (w for w in wires if w.kind == "drop"):
        paint_wire(canvas, wire, "drop")
    for trunk in layout.trunks:
        paint_trunk(canvas, trunk)
    for wire in (w for w in wires if w.kind == "ethernet"):
        paint_wire(canvas, wire, names[wire.net])


def _found(canvas: Canvas, sheet: BoatSheet, y: float, width: float) -> float:
    """Write what checks found of banks, backbones and runs, each with its sign; return y below."""
    told = list(_told(sheet))
    if not told:
        return y
    with canvas.on("notes", class_="dw-found"):
        y += LEGEND_SIZE
        canvas.text((MARGIN, y), "Checks of banks, backbones and cables", LEGEND_SIZE, bold=True)
        y += LEGEND_STEP
        for state, words in told:
            paint_check(canvas, state, MARGIN, y - SIGN + 2)
            lines = wrap(words, width - 2 * MARGIN - SIGN - 8, LEGEND_SIZE)
            y = canvas.texts((MARGIN + SIGN + 8, y), lines, LEGEND_SIZE) + 6
    return y + 4


def _told(sheet: BoatSheet) -> Iterator[tuple[str, str]]:
    letters = {spot.place.id: f"{spot.place.name} ({spot.letter})" for spot in list_spots(sheet)}
    for bank in sheet.banks:
        where = letters.get(bank.place or "", "place not known")
        yield bank.check[0], f"{bank.name} bank, {where}: {bank.check[1]}"
    for bone in sheet.backbone:
        if bone.check[1]:
            yield bone.check[0], f"{bone.name or 'Backbone'}: {bone.check[1]}"
    for run in sheet.runs:
        if run.check[1]:
            yield run.check[0], f"{run_words(run)}: {run.check[1]}"


def _legend(canvas: Canvas, y: float, width: float) -> float:
    """Draw the legend, breaking into lines as needed; return y below it."""
    x = MARGIN
    entries = [("sign", fate, words) for fate, words in UNIT_LEGEND] + list(LINE_LEGEND)
    entries += MARK_LEGEND
    with canvas.on("notes", class_="dw-legend"):
        rule = f"M{MARGIN} {y:.1f}H{width - MARGIN:.1f}"
        canvas.shape("path", class_="dw-faint", d=rule, stroke=QUIET, stroke_width=0.75)
        y += LEGEND_STEP
        for kind, fate, words in entries:
            sample = {"sign": SIGN + 6, "mark": 22.0, "words": 0.0}.get(kind, SAMPLE + 6)
            wide = sample + text_width(words, LEGEND_SIZE) + 20
            if x + wide - 20 > width - MARGIN:
                x, y = MARGIN, y + LEGEND_STEP
            _sample(canvas, kind, fate, x, y)
            canvas.text((x + sample, y), words, LEGEND_SIZE)
            x += wide
    return y + 14


def _sample(canvas: Canvas, kind: str, fate: str, x: float, y: float) -> None:
    path = f"M{x:.1f} {y - 4:.1f}h{SAMPLE}"
    if kind == "sign":
        paint_sign(canvas, fate, x, y - SIGN + 2)
    elif kind == "ethernet":
        paint_single(canvas, path, fate)
        if fate == "removed":
            paint_strike(canvas, (x + SAMPLE / 2, y - 4))
    elif kind == "drop":
        paint_double(canvas, path, fate)
    elif kind == "mark":
        paint_mark(canvas, Mark(fate, "", None, y=y - 4), x + 8)
