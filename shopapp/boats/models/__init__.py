"""Boats and everything aboard, each surveyed value with its evidence."""

from shopapp.boats.models.backbone import Backbone, Drop, Feed, Segment, Tee
from shopapp.boats.models.boat import Bank, Boat, Location, Ownership, Route
from shopapp.boats.models.evidence import Evidence, How, Photo, Sureness
from shopapp.boats.models.units import Cable, CableEnd, Unit

__all__ = [
    "Backbone",
    "Bank",
    "Boat",
    "Cable",
    "CableEnd",
    "Drop",
    "Evidence",
    "Feed",
    "How",
    "Location",
    "Ownership",
    "Photo",
    "Route",
    "Segment",
    "Sureness",
    "Tee",
    "Unit",
]
