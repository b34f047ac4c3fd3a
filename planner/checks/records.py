"""Reading what the checks of a boat's plans depend on; a number of queries that never grows."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from planner.benchsums.rules import rules_of
from planner.engine.sums.local_rules import LocalRules
from shopapp.boats.models import Bank, Boat, Drop, Feed, Location, Segment, Tee, Unit
from shopapp.catalog.models import EquipmentModel, Kind, LabourTask, Part

JsonDict = dict[str, Any]
_OF_PARTS = (
    "number", "name", "kind", "price_cents", "fuse_ma", "cable_ft", "use", "size", "pieces",
)  # fmt: skip


@dataclass(frozen=True)
class CheckRecords:
    """The rows as they stand; units and models by the names that a plan uses."""

    boat: Boat
    units: dict[str, Unit]
    places: list[Location]
    banks: list[Bank]
    tees: list[Tee]
    drops: list[Drop]
    feeds: list[Feed]
    segments: list[Segment]
    models: dict[str, EquipmentModel]
    parts: list[Part]
    minutes: dict[str, int]
    rules: LocalRules


def read_check_records(*, boat: Boat, plans: Iterable[JsonDict]) -> CheckRecords:
    """Read the boat's feeds, places, banks and backbones, and the models of the plans.

    Eleven queries whatever the size of the boat.
    """
    codes = {unit["model"] for plan in plans for unit in plan["units"]}
    units = Unit.objects.filter(boat=boat).aboard().select_related("model", "location", "bank")
    aboard = {unit.name: unit for unit in units.order_by("pk")}
    shop = boat.shop_id
    of_backbone = {"backbone__boat": boat}
    return CheckRecords(
        boat=boat,
        units=aboard,
        places=list(Location.objects.filter(boat=boat)),
        banks=list(
            Bank.objects.filter(boat=boat, retired_at__isnull=True).select_related("location")
        ),
        tees=list(Tee.objects.filter(**of_backbone).select_related("backbone", "location")),
        drops=list(
            Drop.objects.filter(tee__backbone__boat=boat).select_related("tee", "unit__model")
        ),
        feeds=list(Feed.objects.filter(tee__backbone__boat=boat).select_related("tee")),
        segments=list(Segment.objects.filter(**of_backbone).select_related("from_tee", "to_tee")),
        models={
            model.code: model for model in EquipmentModel.objects.filter(shop=shop, code__in=codes)
        },
        parts=_read_parts(shop, codes),
        rules=rules_of(shop),
        minutes=dict(
            LabourTask.objects.filter(shop=shop, retired_at__isnull=True).values_list(
                "code", "typical_minutes"
            )
        ),
    )


def _read_parts(shop: int, codes: set[str]) -> list[Part]:
    """Small parts of a known use, fuses, network cables and the plans' switches, cheapest first."""
    known = ~Q(use="") | Q(kind__in=[Part.PartKind.FUSE, Part.PartKind.CABLE])
    known |= Q(model__code__in=codes, model__kind=Kind.SWITCH)
    rows = Part.objects.filter(
        known, shop=shop, retired_at__isnull=True, price_cents__isnull=False
    ).select_related("model")
    rows = rows.only(*_OF_PARTS, "model__code").order_by("price_cents", "number")
    return list(rows)
