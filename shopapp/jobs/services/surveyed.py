"""An answer as it is typed, and the value as the record keeps it."""

import math
from decimal import Decimal, InvalidOperation

from shopapp.boats.models import Backbone, Bank, Boat, Cable, Location, Route, Unit
from shopapp.boats.services.backbone import DROP_TO
from shopapp.errors import FactRefused
from shopapp.jobs.models import SurveyItem

KINDS_OF_SUBJECT = {
    "boat": Boat,
    "unit": Unit,
    "bank": Bank,
    "route": Route,
    "cable": Cable,
    "location": Location,
    "backbone": Backbone,
}
# Figures are typed in the unit on the meter and kept in the unit of the record:
# fact -> (how many of the record's go into one typed, least, most as typed)
FIGURES: dict[str, tuple[int, Decimal, Decimal]] = {
    "fuse_ma": (1000, Decimal("0.1"), Decimal(400)),
    "dc_limit_ma": (1000, Decimal("0.1"), Decimal(1000)),
    "rested_mv": (1000, Decimal(0), Decimal(80)),
    "feet": (1, Decimal(1), Decimal(400)),
    "adapters": (1, Decimal(0), Decimal(20)),
    "measured_ohms": (1, Decimal(0), Decimal(100_000)),
    "wire_run_ft": (1, Decimal(1), Decimal(1000)),
    "fuse_inches": (1, Decimal(0), Decimal(2000)),
    "hottest_c": (1, Decimal(0), Decimal(150)),
    "compass_cm": (1, Decimal(0), Decimal(30_000)),
    "aerial_cm": (1, Decimal(0), Decimal(30_000)),
    "opening_width_mm": (1, Decimal(0), Decimal(5000)),
    "opening_height_mm": (1, Decimal(0), Decimal(5000)),
    "depth_mm": (1, Decimal(0), Decimal(5000)),
    "block_a": (1, Decimal(1), Decimal(2000)),
    "cutoff_a": (1, Decimal(1), Decimal(2000)),
    "capacity_ah": (1, Decimal(1), Decimal(20_000)),
    "feed_volts": (1, Decimal("0.1"), Decimal(60)),
    "feed_fuse_ma": (1000, Decimal("0.1"), Decimal(100)),
    DROP_TO: (1, Decimal("0.05"), Decimal(90)),
}
WHOLE = {"feet", "adapters", "wire_run_ft", "hottest_c"}
BROKEN = {"measured_ohms", "feed_volts", DROP_TO}


def value_of(item: SurveyItem, text: str) -> object:
    """The typed answer as the record's value; FactRefused, beside its field, where it cannot be."""
    text = text.strip()
    if not text:
        raise FactRefused("Write what you found, or say that it could not be seen.", field="value")
    if item.form == SurveyItem.Form.CHOICE:
        return _chosen(item, text)
    if item.form == SurveyItem.Form.NUMBER:
        return _figure(item, text)
    if len(text) > 200:
        raise FactRefused("At most 200 signs fit.", field="value", todo="Put the rest in photos.")
    return text


def _chosen(item: SurveyItem, text: str) -> str:
    if text not in {pair[0] for pair in item.choices}:
        raise FactRefused("Choose one of the list.", field="value")
    return text


def _figure(item: SurveyItem, text: str) -> object:
    try:
        number = Decimal(text.replace(",", "."))
    except InvalidOperation:
        raise FactRefused("Write a figure.", field="value") from None
    fact = DROP_TO if item.fact.startswith(DROP_TO) else item.fact
    times, least, most = FIGURES[fact]
    if not (number.is_finite() and least <= number <= most):
        words = f"{least:f} to {most:f} {item.unit}"
        raise FactRefused(f"That figure cannot be: {words} is taken.", field="value")
    if fact in WHOLE:
        # A way of 12.5 ft needs a cable for 13.
        return math.ceil(number)
    return number if fact in BROKEN else int(number * times)
