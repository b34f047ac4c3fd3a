"""What the demo's boats are filled from, and how rows are written in bulk."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import Any

from django.db.models import Model

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat
from shopapp.catalog.models import EquipmentModel, Part, Release
from shopapp.demo.boat_plans import BoatPlan
from shopapp.demo.catalogue import DATA

CABLE_FEET = (5, 10, 15, 20, 30)
Plans = list[tuple[Boat, BoatPlan]]


@dataclass(slots=True)
class Catalogue:
    """What boats are filled from, read once."""

    models: dict[str, EquipmentModel]
    releases: dict[tuple[int, str], Release]
    cables: dict[int, Part]
    words: dict[str, Any]
    by: User
    today: date


def read_catalogue(*, shop: Shop, by: User, today: date) -> Catalogue:
    """The shop's catalogue as dictionaries."""
    return Catalogue(
        models={model.code: model for model in EquipmentModel.objects.of(shop)},
        releases={
            (release.model_id, release.name): release
            for release in Release.objects.filter(model__shop=shop)
        },
        cables={part.cable_ft: part for part in Part.objects.of(shop).filter(kind="cable")},
        words=json.loads((DATA / "words.json").read_text(encoding="utf-8")),
        by=by,
        today=today,
    )


def save_all(kind: type[Model], rows: Iterable[Model]) -> list[Any]:
    """Write rows in bounded batches; the rows, with their keys."""
    rows = iter(rows)
    written: list[Any] = []
    while chunk := list(islice(rows, 2000)):
        written += kind.objects.bulk_create(chunk)
    return written
