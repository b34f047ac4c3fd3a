"""The drawing of a boat from above, before and after in one picture, and the same facts in rows."""

from .facts import Backbone, Bank, BoatSheet, Place, Plate, Run, Tee
from .rows import sheet_rows
from .svg import draw_boat

__all__ = [
    "Backbone",
    "Bank",
    "BoatSheet",
    "Place",
    "Plate",
    "Run",
    "Tee",
    "draw_boat",
    "sheet_rows",
]
