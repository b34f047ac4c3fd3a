"""From a boat's records and a form of wishes to one whole case."""

import hashlib
import json
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils import timezone

from planner.loaders.aboard import boat_of
from planner.loaders.catalogue import catalogue_of
from planner.loaders.job import job_of, resolve_wishes
from planner.loaders.records import read_records, read_shelf, read_units
from planner.loaders.show import show_of
from planner.loaders.unknowns import unknowns_of
from shopapp.boats.models import Boat

FORMAT = "refit-case/1"


@dataclass(frozen=True)
class Case:
    """A case as the engine reads it, and all that the records do not know.

    Which of the assumptions an answer rests on is settled with the answer.
    """

    case: dict[str, Any]
    assumptions: list[dict[str, Any]]


def build_case(*, boat: Boat, wishes: dict[str, Any], today: date | None = None) -> Case:
    """Read the records as they stand and make the case; a fixed number of queries.

    Raises `FactRefused` where a wish names a unit, place or model that is gone.
    """
    day = today or timezone.localdate()
    units = read_units(boat)
    shelf = read_shelf(boat.shop)
    resolved = resolve_wishes(wishes=wishes, shelf=shelf, units=units)
    codes = {code for wish in resolved for code in wish.get("models") or []}
    codes |= set(wishes.get("switches", {}).get("models", []))
    records = read_records(boat=boat, units=units, shelf=shelf, codes=codes)
    catalogue = catalogue_of(records)
    case = {
        "format": FORMAT,
        "catalogue": catalogue,
        "boat": boat_of(records, catalogue),
        "job": job_of(records=records, wishes=wishes, resolved=resolved),
        "show": show_of(records) | {"on": day.isoformat()},
    }
    case["unknowns"] = unknowns_of(records=records, case=case, today=day)
    return Case(case, case["unknowns"])


def digest_of(case: dict[str, Any]) -> str:
    """A digest of all that the planner reads; two cases of one digest have one answer."""
    read = {key: case[key] for key in ("format", "catalogue", "boat", "job")}
    text = json.dumps(read, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
