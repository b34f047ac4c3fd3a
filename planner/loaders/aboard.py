"""The boat of a case: locations, routes, units aboard and cables in place."""

from collections import defaultdict
from typing import Any

from planner.loaders.records import Records
from shopapp.boats.models import CableEnd, Unit


def boat_of(records: Records, catalogue: dict[str, Any]) -> dict[str, Any]:
    """The `boat` of the case; lengths in ft, current in mA."""
    boat, shop = records.boat, records.shop
    return {
        "locations": [location.name for location in records.locations],
        "routes": [
            {
                "between": [route.a.name, route.b.name],
                "feet": route.feet,
                "sureness": route.sureness,
            }
            for route in records.routes
        ],
        "slack_ft": shop.slack_ft if boat.slack_ft is None else boat.slack_ft,
        "dc_limit_ma": boat.dc_limit_ma,
        "devices": [_device(records, catalogue, unit) for unit in records.units],
        "cables": _cables(records),
    }


def _device(records: Records, catalogue: dict[str, Any], unit: Unit) -> dict[str, Any]:
    releases = catalogue["models"][unit.model.code]["releases"]
    return {
        "id": unit.name,
        "model": unit.model.code,
        "location": unit.location.name,
        "release": release_taken(unit, releases),
        "networked": networked_taken(unit, records.cabled_units),
        "adapters": unit.adapters,
    }


def release_taken(unit: Unit, releases: list[str]) -> str | None:
    """The release noted; where none is, the oldest, which promises least."""
    if not releases:
        return None
    return unit.release.name if unit.release else releases[0]


def networked_taken(unit: Unit, cabled: set[int]) -> bool:
    """What is noted; where nothing is, whether a network cable is noted in one of its ports."""
    return unit.pk in cabled if unit.networked is None else unit.networked


def ends_by_cable(records: Records) -> dict[str, list[CableEnd]]:
    """The noted ends of each cable in place, by its label."""
    found = defaultdict(list)
    for end in records.ends:
        found[end.cable.label].append(end)
    return dict(found)


def _cables(records: Records) -> list[dict[str, Any]]:
    aboard = {unit.pk: unit.name for unit in records.units}
    return [
        {
            "id": label,
            "cable": ends[0].cable.part.number,
            "between": [end.location.name for end in ends],
            "feet": ends[0].cable.part.cable_ft,
            "ends": {aboard[end.unit_id]: end.port for end in ends if end.unit_id in aboard},
        }
        for label, ends in ends_by_cable(records).items()
        if len(ends) == 2
    ]
