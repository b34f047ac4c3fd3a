"""Facts aboard that carry evidence: their names, when they go soft, how they are written.

A fact's value is kept as text in its evidence: a release by its name, a model by its
code, a location or bank by its name, yes or no, a number. `text_of` and `write_fact` are
each other's inverse for every fact that is a field of its subject.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import models

from shopapp.boats.models import Backbone, Bank, Boat, Cable, Evidence, Location, Route, Unit
from shopapp.errors import FactRefused

# When evidence goes soft: common practice, no source.
FIRMWARE_DAYS = 90
BANK_HEALTH_DAYS = 182
FEED_DAYS = 2 * 365
LABEL_DAYS = 5 * 365


@dataclass(frozen=True)
class FactKind:
    """A fact's words, and the days after which what is known of it goes soft (None: never)."""

    label: str
    days: int | None = None


KINDS: dict[str, dict[str, FactKind]] = {
    "boat": {
        "hull_number_read": FactKind("Hull number"),
        "registration": FactKind("Registration"),
        "builder": FactKind("Builder and model"),
        "year": FactKind("Year"),
        "length_ft": FactKind("Length"),
        "beam_ft": FactKind("Beam"),
        "draught_ft": FactKind("Draught"),
        "air_draught_ft": FactKind("Air draught"),
        "hull_material": FactKind("Hull"),
        "fuel": FactKind("Fuel"),
        "engines": FactKind("Engines"),
        "dc_volts": FactKind("DC system"),
        "dc_limit_ma": FactKind("Electronics feed limit", FEED_DAYS),
        "dock_power": FactKind("Dock power"),
    },
    "unit": {
        "model": FactKind("Model", LABEL_DAYS),
        "serial": FactKind("Serial", LABEL_DAYS),
        "release": FactKind("Release", FIRMWARE_DAYS),
        "location": FactKind("Location"),
        "networked": FactKind("On the Ethernet"),
        "adapters": FactKind("Adapter leads"),
        "bank": FactKind("Fed from", FEED_DAYS),
        "fuse_ma": FactKind("Fuse", FEED_DAYS),
        "fuse_place": FactKind("Fuse place", FEED_DAYS),
        "cutoff": FactKind("Cut-off", FEED_DAYS),
        "wire": FactKind("Wire", FEED_DAYS),
        "wire_awg": FactKind("Wire gauge", FEED_DAYS),
        "wire_run_ft": FactKind("Wire, one way", FEED_DAYS),
        "wire_insulation_c": FactKind("Insulation of the wire", FEED_DAYS),
        "wire_engine_space": FactKind("Wire through an engine space", FEED_DAYS),
        "fuse_inches": FactKind("From source to fuse", FEED_DAYS),
        "wire_sheathed": FactKind("Wire sheathed", FEED_DAYS),
        "state": FactKind("State"),
    },
    "cable": {
        "part": FactKind("Type"),
        "end_a": FactKind("End A"),
        "end_b": FactKind("End B"),
    },
    "bank": {
        "use": FactKind("Use"),
        "chemistry": FactKind("Chemistry", LABEL_DAYS),
        "volts": FactKind("Volts"),
        "capacity_ah": FactKind("Capacity", LABEL_DAYS),
        "fuse_a": FactKind("Fuse at the bank", FEED_DAYS),
        "block_a": FactKind("Fuse block", FEED_DAYS),
        "cutoff_a": FactKind("Cut-off switch", FEED_DAYS),
        "location": FactKind("Location"),
        "charger": FactKind("Charger", BANK_HEALTH_DAYS),
        "rested_mv": FactKind("Volts rested", BANK_HEALTH_DAYS),
    },
    "route": {"feet": FactKind("Length")},
    "location": {
        "exposure": FactKind("Dry, splash or wet"),
        "vapour": FactKind("Petrol vapour"),
        "switch_place": FactKind("Place for a switch"),
        "hottest_c": FactKind("Gets as hot as"),
        "compass_cm": FactKind("To the nearest compass"),
        "aerial_cm": FactKind("To the nearest antenna"),
        "in_beam": FactKind("In a radar's beam"),
        "opening_width_mm": FactKind("Opening, width"),
        "opening_height_mm": FactKind("Opening, height"),
        "depth_mm": FactKind("Room behind"),
        "room_note": FactKind("Room and way in"),
    },
    "backbone": {
        "cable": FactKind("Cable"),
        "measured_ohms": FactKind("Ohms read", FEED_DAYS),
        "tees": FactKind("Tees"),
    },
}
SLOTS = {
    Boat: "boat",
    Unit: "unit",
    Cable: "cable",
    Bank: "bank",
    Route: "route",
    Location: "location",
    Backbone: "backbone",
}
Subject = Boat | Unit | Cable | Bank | Route | Location | Backbone


def slot_of(subject: Subject) -> str:
    """The kind of subject: boat, unit, cable, bank, route, location or backbone."""
    return SLOTS[type(subject)]


def subject_of(row: Evidence) -> tuple[str, int]:
    """The kind and number of what an evidence row speaks of, without fetching it."""
    for slot in Evidence.SUBJECTS:
        number = getattr(row, f"{slot}_id")
        if number is not None:
            return slot, number
    return "boat", row.boat_id


def kind_of(slot: str, fact: str) -> FactKind:
    """The fact's kind; one that is not listed has its name for words and never goes soft."""
    return KINDS[slot].get(fact) or FactKind(fact.replace("_", " ").capitalize())


def is_soft(*, slot: str, fact: str, seen_at: datetime, now: datetime) -> bool:
    """Whether evidence of this age must be seen again before one relies on it."""
    days = kind_of(slot, fact).days
    return days is not None and seen_at < now - timedelta(days=days)


def text_of(value: object) -> str:
    """A value as evidence keeps it; "" for what is not known."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    if isinstance(value, models.Model):
        return str(next(getattr(value, name) for name in _NAMES if hasattr(value, name)))
    return str(value).strip()[:200]


# By what a row is named in evidence: a model's code, a part's number, else its name.
_NAMES = ("code", "number", "name")


def field_of(subject: Subject, fact: str) -> models.Field | None:
    """The subject's field of that name, None for a fact that is no field."""
    names = {field.name: field for field in subject._meta.concrete_fields}
    return names.get(fact)


def write_fact(subject: Subject, fact: str, text: str) -> bool:
    """Set the subject's field from a fact's text, without saving; True where it changed."""
    field = field_of(subject, fact)
    if field is None or text_of(getattr(subject, fact)) == text:
        return False
    setattr(subject, fact, _value(subject, field, text))
    if fact == "model" and isinstance(subject, Unit) and subject.release_id:
        # A release belongs to its model: of the new model's nothing is known yet.
        subject.release = None
    return True


def _value(subject: Subject, field: models.Field, text: str) -> object:
    if not text:
        return None if field.null else field.get_default()
    if field.is_relation:
        return _row(subject, field.name, text)
    if isinstance(field, models.BooleanField):
        return text == "yes"
    try:
        return field.clean(text, subject)
    except ValidationError as error:
        raise FactRefused(f"{text}: {' '.join(error.messages)}", field=field.name) from error


def _row(subject: Subject, fact: str, text: str) -> models.Model:
    found = _rows(subject, fact).filter(**{_key(fact): text}).first()
    if found is None:
        raise FactRefused(
            f"There is no {fact} “{text}” {_where(subject, fact)}.",
            field=fact,
            todo="Choose one that is on record, or add it first.",
        )
    return found


def _key(fact: str) -> str:
    return {"model": "code", "part": "number"}.get(fact, "name")


def _rows(subject: Subject, fact: str) -> models.QuerySet:
    if fact == "release":
        return subject.model.releases.all()
    if fact in {"location", "bank"}:
        return getattr(subject.boat, f"{fact}s").all()
    field = subject._meta.get_field(fact)
    return field.related_model.objects.filter(shop=subject.boat.shop_id)


def _where(subject: Subject, fact: str) -> str:
    if fact == "release":
        return f"of {subject.model}: the model never had it"
    return "on this boat" if fact in {"location", "bank"} else "in the catalogue"
