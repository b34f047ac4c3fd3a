"""What a shop always asks on a visit, kept short: only what nobody knows yet, or only once did.

Common practice, no source.
"""

from collections.abc import Iterator
from typing import Any

from shopapp.boats.models import Unit
from shopapp.jobs.models import SurveyItem
from shopapp.jobs.surveying.aboard import Aboard
from shopapp.jobs.surveying.points import Point, about_route, about_unit

JsonDict = dict[str, Any]
Form = SurveyItem.Form
ALWAYS, PHOTOS = "Always missed", "Photos"
FUSES_AT_MOST, ROUTES_AT_MOST = 4, 4
OHMS = "Backbone, batteries off: ohms between its two data wires (60 expected)"


def always_points(aboard: Aboard, plan: JsonDict | None) -> list[Point]:
    """The shop's usual questions for this boat and plan that no fresh evidence answers."""
    found = [
        *_of_boat(aboard),
        *_fuses(aboard, plan),
        *_routes(aboard, plan),
        *_backbones(aboard),
        *_batteries(aboard),
        *_room(aboard, plan),
    ]
    return [point for point in found if (point.slot, point.subject, point.fact) not in aboard.known]


def _of_boat(aboard: Aboard) -> Iterator[Point]:
    boat = aboard.boat
    if not boat.hull_number_read:
        yield _words(boat.pk, "hull_number_read", "Hull number, as on the plate")
    yield _words(boat.pk, "volts_at_farthest_plug", "Volts at the farthest plug, electronics on")
    if not boat.access:
        yield _words(boat.pk, "way_in", "Keys, gate, dock power, haul-out: how do we get in")


def _words(pk: int, fact: str, asked: str) -> Point:
    return Point(f"boat:{fact}", asked, "boat", pk, fact, Form.WORDS, group=ALWAYS)


def touched(aboard: Aboard, plan: JsonDict | None) -> list[Unit]:
    """The units that a plan works on or keeps on the network; without a plan all."""
    if plan is None:
        return list(aboard.units.values())
    names = [one["unit"] for one in plan["units"] if one["networked"] or one["fate"] != "stays"]
    return [aboard.units[name] for name in names if name in aboard.units]


def _fuses(aboard: Aboard, plan: JsonDict | None) -> Iterator[Point]:
    fused = [unit for unit in touched(aboard, plan) if unit.model.fuse_ma]
    asked = [about_unit(unit, "fuse_ma", aboard) for unit in fused]
    unseen = [one for one in asked if ("unit", one.subject, "fuse_ma") not in aboard.known]
    yield from (_always(one) for one in unseen[:FUSES_AT_MOST])


def _always(point: Point) -> Point:
    return Point(
        point.key, point.question, point.slot, point.subject, point.fact, point.form,
        group=ALWAYS, unit=point.unit, choices=point.choices,
    )  # fmt: skip


def _routes(aboard: Aboard, plan: JsonDict | None) -> Iterator[Point]:
    """The ways that the plan runs new cable along; their real length is always missed."""
    if plan is None:
        return
    places = {one["unit"]: one["location"] for one in plan["units"]}
    bought = [link for link in plan["links"] if link["cable"].startswith("buy:")]
    pairs = dict.fromkeys(frozenset(places[end] for end in link["between"]) for link in bought)
    found = [about_route(pair, aboard) for pair in pairs if len(pair) == 2]
    yield from [_always(one) for one in found if one is not None][:ROUTES_AT_MOST]


def _backbones(aboard: Aboard) -> Iterator[Point]:
    for row in aboard.boat.backbones.all():
        key = f"backbone:{row.pk}"
        yield Point(
            f"{key}:measured_ohms", f"{row.name}: {OHMS}", "backbone", row.pk, "measured_ohms",
            Form.NUMBER, group=ALWAYS, unit="Ω",
        )  # fmt: skip
        yield Point(
            f"{key}:spare_tees", f"{row.name}: spare tees, and where both terminators are",
            "backbone", row.pk, "spare_tees", Form.WORDS, group=ALWAYS,
        )  # fmt: skip


def _batteries(aboard: Aboard) -> Iterator[Point]:
    houses = [bank for bank in aboard.banks.values() if bank.use == "house"]
    for bank in houses[:1]:
        asked = f"{bank.name} bank: volts rested, charger off"
        key = f"bank:{bank.pk}:rested_mv"
        yield Point(key, asked, "bank", bank.pk, "rested_mv", Form.NUMBER, group=ALWAYS, unit="V")


def _room(aboard: Aboard, plan: JsonDict | None) -> Iterator[Point]:
    added = [one["location"] for one in plan["units"] if one["fate"] == "added"] if plan else []
    for name in dict.fromkeys(added):
        place = aboard.locations.get(name)
        if place is not None and not place.room_note:
            asked = f"{name}: flat area, cut-out width × height, depth, what is behind"
            yield Point(
                f"location:{place.pk}:room_note", asked, "location", place.pk, "room_note",
                Form.WORDS, group=ALWAYS,
            )  # fmt: skip


def photo_points(aboard: Aboard) -> list[Point]:
    """The photos of every visit, as ticks with a picture each."""
    wanted = [
        "Dash, wide",
        "Each unit lit, with its system page",
        "Labels of the units",
        "Behind the dash",
        "Battery box and main fuses",
        "Fuse panel, open",
        "Switch with its lights on",
        "Cable ways, tape measure in the picture",
    ]
    pk = aboard.boat.pk
    return [
        Point(f"photo:{number}", words, "boat", pk, "photo", Form.PHOTO, group=PHOTOS)
        for number, words in enumerate(wanted, start=1)
    ]
