"""SVG elements as text, with everything written escaped, and a record of where labels stand.

Looks are presentation attributes, so that the picture is right with no style sheet at all; the
classes let a page's style sheet recolour it.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from django.utils.html import escape

from .words import LINE_STEP, text_width

INK = "#15201d"
QUIET = "#4d5a56"
FAINT = "#a9b3af"
PAPER = "#ffffff"
DECK = "#f3f6f5"

Point = tuple[float, float]


@dataclass(frozen=True)
class Box:
    """A rectangle on the drawing in px; `what` is the text or thing that fills it."""

    x: float
    y: float
    width: float
    height: float
    what: str = ""

    def meets(self, other: "Box", gap: float = 0.0) -> bool:
        """Say whether the two overlap, or come nearer than `gap` px."""
        return (
            self.x < other.x + other.width + gap
            and other.x < self.x + self.width + gap
            and self.y < other.y + other.height + gap
            and other.y < self.y + self.height + gap
        )


def clean(text: object) -> str:
    """Escape for XML and drop the characters that XML cannot hold."""
    kept = (char for char in str(text) if char in "\t\n" or _may_stand(ord(char)))
    return str(escape("".join(kept)))


def _may_stand(code: int) -> bool:
    return code >= 32 and not 0xD800 <= code <= 0xDFFF and code not in {0xFFFE, 0xFFFF}


def number(value: float) -> str:
    """Write a coordinate with at most one decimal."""
    return f"{value:.1f}".removesuffix(".0")


def attributes(**pairs: object) -> str:
    """Write attributes; a trailing _ is dropped, other _ become -, None is left out."""
    written = []
    for key, value in pairs.items():
        if value is not None:
            text = number(value) if isinstance(value, float) else clean(value)
            written.append(f' {key.rstrip("_").replace("_", "-")}="{text}"')
    return "".join(written)


class Canvas:
    """Collects elements in layers, lowest first, and the boxes of all the text on them."""

    LAYERS = ("hull", "lines", "units", "notes")

    def __init__(self) -> None:
        self._parts: dict[str, list[str]] = {layer: [] for layer in self.LAYERS}
        self._layer = "hull"
        self.labels: list[Box] = []
        self.lines: list[tuple[str, Point, Point]] = []

    @contextmanager
    def on(self, layer: str, **group: object) -> Iterator[None]:
        """Draw on a layer, in a group with the attributes given, if any."""
        before, self._layer = self._layer, layer
        if group:
            self.add(f"<g{attributes(**group)}>")
        yield
        if group:
            self.add("</g>")
        self._layer = before

    def add(self, element: str) -> None:
        """Add one finished element to the layer."""
        self._parts[self._layer].append(element)

    def shape(self, tag: str, **pairs: object) -> None:
        """Add an empty element."""
        self.add(f"<{tag}{attributes(**pairs)}/>")

    def title(self, text: str) -> None:
        """Name the group begun last, for those who point at it."""
        self.add(f"<title>{clean(text)}</title>")

    def text(
        self,
        at: Point,
        words: str,
        size: float = 12.0,
        *,
        bold: bool = False,
        anchor: str = "start",
        fill: str = INK,
        cls: str = "dw-text",
        struck: bool = False,
    ) -> None:
        """Write one line with its baseline at `at` and keep its box."""
        if not words:
            return
        width = text_width(words, size, bold=bold)
        left = at[0] - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
        self.labels.append(Box(left, at[1] - size * 0.78, width, size, words))
        look = attributes(
            class_=cls,
            x=float(at[0]),
            y=float(at[1]),
            font_size=float(size),
            font_weight="bold" if bold else None,
            text_anchor=anchor if anchor != "start" else None,
            fill=fill,
        )
        self.add(f"<text{look}>{clean(words)}</text>")
        if struck:
            strike = f"M{number(left)} {number(at[1] - size * 0.3)}h{number(width * 0.95)}"
            self.shape("path", class_="dw-line", d=strike, stroke=INK, stroke_width=1.25)

    def texts(self, at: Point, lines: tuple[str, ...], size: float = 12.0, **look: object) -> float:
        """Write lines one under the other from the first baseline; return the next baseline."""
        x, y = at
        for line in lines:
            self.text((x, y), line, size, **look)
            y += size * LINE_STEP
        return y

    def svg_body(self) -> str:
        """Return all layers as one text."""
        return "\n".join(part for layer in self.LAYERS for part in self._parts[layer])


def round_path(points: list[Point], radius: float = 5.0) -> str:
    """Return path data along `points` (right-angled corners rounded)."""
    start = points[0]
    data = [f"M{number(start[0])} {number(start[1])}"]
    for before, corner, after in zip(points, points[1:], points[2:], strict=False):
        into, out = _toward(corner, before, radius), _toward(corner, after, radius)
        data.append(
            f"L{number(into[0])} {number(into[1])}"
            f"Q{number(corner[0])} {number(corner[1])} {number(out[0])} {number(out[1])}"
        )
    return "".join([*data, f"L{number(points[-1][0])} {number(points[-1][1])}"])


def _toward(corner: Point, end: Point, radius: float) -> Point:
    dx, dy = end[0] - corner[0], end[1] - corner[1]
    length = abs(dx) + abs(dy)
    share = min(radius, length / 2) / length if length else 0.0
    return corner[0] + dx * share, corner[1] + dy * share
