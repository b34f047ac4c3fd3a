"""Reading a drawing back in tests."""

import xml.etree.ElementTree as ET
from functools import cache

from shopapp.boats.drawing import BoatSheet, svg
from shopapp.boats.drawing.ink import Canvas


@cache
def compose(boat: BoatSheet, *, width: int) -> tuple[Canvas, tuple[float, float]]:
    """Lay a boat out once for all the tests that look at it."""
    return svg.compose(boat, width=width)


def parse(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def marked(svg: str, name: str) -> list[str]:
    return [el.get(name) for el in parse(svg).iter() if el.get(name) is not None]


def size(svg: str) -> tuple[float, float]:
    root = parse(svg)
    return float(root.get("width")), float(root.get("height"))
