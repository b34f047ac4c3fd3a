"""What a page needs to show an old plan as it was known then; the planner reads none of it."""

from collections import defaultdict
from typing import Any

from planner.loaders.records import Records
from shopapp.boats.models import Drop, Evidence, Tee, Unit

SUBJECTS = ("unit", "route", "cable", "bank", "location", "backbone")


def show_of(records: Records) -> dict[str, Any]:
    """Names, places, evidence and the backbone, under keys that the planner ignores."""
    boat = records.boat
    return {
        "boat": {
            "name": boat.name,
            "length_ft": float(boat.length_ft),
            "beam_ft": None if boat.beam_ft is None else float(boat.beam_ft),
            "kind": boat.kind,
            "fuel": boat.fuel,
            "dc_volts": boat.dc_volts,
        },
        "models": {code: _model(records, code) for code in sorted(records.models)},
        "parts": {
            part.number: {"name": part.name, "kind": part.kind, "feet": part.cable_ft}
            for part in records.parts
        },
        "units": _units(records),
        "places": {
            location.name: {
                "x": _float(location.x),
                "y": _float(location.y),
                "vapour": location.vapour,
            }
            for location in records.locations
        },
        "banks": [
            {"name": bank.name, "use": bank.use, "chemistry": bank.chemistry}
            for bank in records.banks
        ],
        "backbones": _backbones(records),
    }


def _float(value: Any) -> float | None:
    return None if value is None else float(value)


def _model(records: Records, code: str) -> dict[str, Any]:
    model = records.models[code]
    return {
        "name": model.name,
        "maker": model.family.maker.name,
        "kind": model.get_kind_display(),
        "part": model.part.number if model.part else "",
        "ignition_protected": model.ignition_protected,
    }


def _units(records: Records) -> dict[str, Any]:
    noted = defaultdict(list)
    for row in records.evidence:
        if row.unit_id and row.standing == Evidence.Standing.HOLDS:
            noted[row.unit_id].append(row)
    return {unit.name: _unit(unit, noted[unit.pk]) for unit in records.units}


def _unit(unit: Unit, noted: list[Evidence]) -> dict[str, Any]:
    newest: dict[str, Evidence] = {}
    for row in sorted(noted, key=lambda row: row.seen_at):
        newest[row.fact] = row
    return {
        "pk": unit.pk,
        "serial": unit.serial,
        "release_known": unit.release_id is not None,
        "networked_known": unit.networked is not None,
        "evidence": {
            fact: {
                "value": row.value,
                "how": row.get_how_display(),
                "seen": row.seen_at.date().isoformat(),
                "sureness": row.sureness,
            }
            for fact, row in sorted(newest.items())
        },
    }


def _backbones(records: Records) -> list[dict[str, Any]]:
    tees = defaultdict(list)
    for tee in sorted(records.tees, key=lambda tee: (tee.backbone_id, tee.position)):
        tees[tee.backbone].append(tee)
    metres = defaultdict(float)
    for segment in records.segments:
        metres[segment.backbone_id] += float(segment.metres)
    return [
        {
            "name": backbone.name,
            "metres": metres.get(backbone.pk),
            "terminators": [found[0].terminated, found[-1].terminated],
            "tees": [entry for tee in found for entry in _tee(records, tee)],
        }
        for backbone, found in tees.items()
    ]


def _tee(records: Records, tee: Tee) -> list[dict[str, Any]]:
    """One entry for each drop or feed of the tee; a spare tee is one entry too."""
    place = tee.location.name
    entries = [
        {"place": place, "unit": _node(drop), "metres": float(drop.metres)}
        for drop in records.drops
        if drop.tee_id == tee.pk
    ]
    entries += [
        {"place": place, "power": feed.cutoff or "power feed"}
        for feed in records.feeds
        if feed.tee_id == tee.pk
    ]
    return entries or [{"place": place, "spare": True}]


def _node(drop: Drop) -> str:
    return drop.unit.name if drop.unit else drop.node or "not known"
