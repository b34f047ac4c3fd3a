"""The backbones of a boat as a plan leaves them."""

import math
from collections.abc import Mapping
from typing import Any

from planner.checks.records import CheckRecords
from planner.engine.checks.facts import BoneFacts, BoneFeed, DropFacts
from planner.plans import unit_label, units_of
from shopapp.boats.models import Drop, Tee
from shopapp.catalog.models import Kind

JsonDict = dict[str, Any]
Distances = Mapping[tuple[str, str], int]
METRES_PER_FOOT = 0.3048
DROP_SLACK_M, LEAST_DROP_M = 0.6, 2


def bones_of(
    records: CheckRecords, case: JsonDict, plan: JsonDict, distances: Distances
) -> tuple[BoneFacts, ...]:
    """Each backbone with the drops that stay and those of new units, on the nearest tee."""
    staying = {unit["unit"]: unit for unit in units_of(plan)}
    bones: dict[int, list[Tee]] = {}
    for tee in sorted(records.tees, key=lambda tee: (tee.backbone_id, tee.position)):
        bones.setdefault(tee.backbone_id, []).append(tee)
    new = _new_drops(records, case, plan, distances)
    return tuple(
        _bone(records, tees, staying, case, new.get(key, [])) for key, tees in bones.items()
    )  # fmt: skip


def _bone(
    records: CheckRecords,
    tees: list[Tee],
    staying: Mapping[str, JsonDict],
    case: JsonDict,
    new: list[DropFacts],
) -> BoneFacts:
    backbone = tees[0].backbone
    keys = {tee.pk for tee in tees}
    drops = [
        _drop(records, drop, staying, case)
        for drop in records.drops
        if drop.tee_id in keys and (drop.unit is None or drop.unit.name in staying)
    ]
    return BoneFacts(
        key=str(backbone.pk),
        label=backbone.name,
        cable=backbone.cable,
        segments=tuple(
            (segment.from_tee.name, segment.to_tee.name, float(segment.metres))
            for segment in records.segments
            if segment.backbone_id == backbone.pk
        ),
        drops=(*drops, *new),
        feeds=tuple(
            BoneFeed(
                feed.tee.name,
                None if feed.volts is None else float(feed.volts),
                None if feed.fuse_ma is None else feed.fuse_ma / 1000,
            )
            for feed in records.feeds
            if feed.tee_id in keys
        ),
        terminators=tuple(tee.name for tee in tees if tee.terminated),
        tees=tuple(tee.name for tee in tees),
        places={tee.name: tee.location.name for tee in tees},
        measured_ohms=None if backbone.measured_ohms is None else float(backbone.measured_ohms),
    )


def _drop(
    records: CheckRecords, drop: Drop, staying: Mapping[str, JsonDict], case: JsonDict
) -> DropFacts:
    name = drop.unit.name if drop.unit else drop.node or f"node on {drop.tee.name}"
    unit = staying.get(name) if drop.unit else None
    model = records.models.get(unit["model"]) if unit else None
    load = drop.load_units
    if model is not None and (load is None or unit["fate"] == "replaced"):
        load = model.load_units
    return DropFacts(
        tee=drop.tee.name,
        unit=name,
        # The survey keeps 0 where nobody measured.
        metres=float(drop.metres) or None,
        len=load,
        label=unit_label(case, unit) if unit else name,
        is_gateway=model is not None and model.kind == Kind.GATEWAY,
    )


def _new_drops(
    records: CheckRecords, case: JsonDict, plan: JsonDict, distances: Distances
) -> dict[int, list[DropFacts]]:
    """Drops of new units that load a backbone, by the backbone's number."""
    used = {drop.tee_id for drop in records.drops} | {feed.tee_id for feed in records.feeds}
    found: dict[int, list[DropFacts]] = {}
    for unit in plan["units"]:
        model = records.models.get(unit["model"])
        if unit["fate"] != "added" or unit["unit"] in records.units:
            continue
        if model is None or not model.load_units:
            continue
        near = _nearest(records.tees, used, unit["location"], distances)
        if near is None:
            continue
        feet, tee = near
        found.setdefault(tee.backbone_id, []).append(
            DropFacts(
                tee=tee.name,
                unit=unit["unit"],
                metres=float(max(LEAST_DROP_M, math.ceil(feet * METRES_PER_FOOT + DROP_SLACK_M))),
                len=model.load_units,
                label=unit_label(case, unit),
                is_gateway=model.kind == Kind.GATEWAY,
                is_new=True,
                on_spare=tee.pk not in used,
            )
        )
        used.add(tee.pk)
    return found


def _nearest(
    tees: list[Tee], used: set[int], place: str, distances: Distances
) -> tuple[int, Tee] | None:
    """The nearest tee, a spare one before one in use."""
    ways = []
    for tee in tees:
        there = tee.location.name
        feet = 0 if there == place else distances.get((there, place))
        if feet is not None:
            ways.append((feet, tee.pk in used, tee.backbone_id, tee.position, tee))
    if not ways:
        return None
    feet, *_, tee = min(ways, key=lambda way: way[:4])
    return feet, tee
