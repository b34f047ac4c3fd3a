"""The sum of one backbone, with what is not known left out and said."""

from dataclasses import dataclass, field
from typing import Any

from planner.engine.checks.facts import BoneFacts
from planner.engine.sums.backbone import solve_backbone
from planner.engine.sums.faults import SumFault

NO_CABLE_M = 0.001
"""A node that sits right on its tee has no drop cable; the sum asks for a length."""
STAND_IN_VOLTS = 12.0


@dataclass(frozen=True, slots=True)
class BoneSums:
    """What the checks use of the sum; `refused` says why there is none."""

    refused: str = ""
    nodes: int = 0
    faults: list[dict[str, str]] = field(default_factory=list)
    metres: float | None = None
    margin: dict[str, float | None] = field(default_factory=dict)
    worst_volts: float | None = None
    worst_node: str = ""
    worst_tee: str = ""
    solved_drop: float | None = None
    estimate: float | None = None
    expected_ohms: float | None = None
    feed_volts_missing: bool = False


def sums_of(bone: BoneFacts) -> BoneSums | None:
    """Solve a backbone; None where it has no segment.

    A load that is not known counts as 0, a feed's volts that are not known as 12 V: the caller
    says so and takes neither for good.
    """
    if not bone.segments:
        return None
    try:
        result = solve_backbone(**_inputs(bone))
    except SumFault as fault:
        return BoneSums(refused=fault.message)
    return _read(bone, result.values, result.margin)


def _inputs(bone: BoneFacts) -> dict[str, Any]:
    return {
        "segments": [{"from": a, "to": b, "metres": m} for a, b, m in bone.segments],
        "drops": [
            {
                "tee": d.tee,
                "metres": max(d.metres or 0, NO_CABLE_M),
                "unit": d.unit,
                "len": d.len or 0,
            }
            for d in bone.drops
        ],
        "feeds": [
            {"tee": feed.tee, "volts": feed.volts or STAND_IN_VOLTS}
            for feed in {feed.tee: feed for feed in bone.feeds}.values()
        ],
        "terminators": list(bone.terminators),
        "cable": bone.cable,
    }


def _read(bone: BoneFacts, values: dict[str, Any], margin: dict[str, Any]) -> BoneSums:
    known = {unit: volts for unit, volts in values["node_volts"].items() if volts is not None}
    worst = min(known, key=known.__getitem__, default="")
    tees = {drop.unit: drop.tee for drop in bone.drops}
    labels = {drop.unit: drop.label or drop.unit for drop in bone.drops}
    fed = [feed.volts or STAND_IN_VOLTS for feed in bone.feeds]
    complete = bool(known) and len(known) == len(values["node_volts"])
    return BoneSums(
        nodes=values["nodes"],
        faults=values["fault_places"],
        metres=values["backbone_metres"],
        margin=margin,
        worst_volts=known.get(worst),
        worst_node=labels.get(worst, ""),
        worst_tee=tees.get(worst, ""),
        solved_drop=min(fed) - known[worst] if complete and fed else None,
        estimate=values["bus_drop_volts"],
        expected_ohms=values["expected_ohms"],
        feed_volts_missing=any(feed.volts is None for feed in bone.feeds),
    )
