"""The sum of a whole backbone: nodes, load, voltages, resistance and faults."""

from dataclasses import asdict
from typing import Any

from planner.engine.sums import words
from planner.engine.sums.backbone_faults import (
    BackboneFault,
    drop_faults,
    length_faults,
    piece_faults,
    ring_faults,
    tee_faults,
    terminator_faults,
    unfed_faults,
    unit_faults,
    volt_faults,
)
from planner.engine.sums.backbone_reading import Backbone, read_backbone
from planner.engine.sums.backbone_tree import (
    Ways,
    find_longest_way,
    find_pieces,
    find_rings,
    find_ways,
)
from planner.engine.sums.backbone_volts import (
    AMPS_PER_LEN,
    CONDUCTORS,
    estimate_drop,
    find_draws,
    find_tee_volts,
    find_unit_volts,
)
from planner.engine.sums.bus import (
    DROP_LIMITS,
    LONGEST_DROPS_M,
    LOWEST_NODE_VOLTS,
    MOST_DEVICES,
    MOST_HEAVY_AMPS,
    TERMINATOR_OHMS,
    USUAL_LIGHT_FUSE_AMPS,
)
from planner.engine.sums.results import SumResult

_CABLE_NOTES = {
    "light": "Light cable: 0.053 Ω/m as one guide prints it, another has 0.057.",
    "mid": "Mid cable: 0.0132 Ω/m from the area of 16 AWG, the gauge and the 250 m from memory.",
    "heavy": "Heavy cable: 0.0132 Ω/m from the area of 16 AWG, the gauge from memory; other "
    "tables have 0.0104 and 0.0148.",
    "own": "The longest backbone of a cable given by its Ω/m is not known: ask its maker.",
}
_MOST_AMPS = {"light": USUAL_LIGHT_FUSE_AMPS, "mid": MOST_HEAVY_AMPS, "heavy": MOST_HEAVY_AMPS}


def solve_backbone(
    *, segments: Any, drops: Any, feeds: Any, terminators: Any, cable: Any
) -> SumResult:
    """Solve a backbone with every unit drawing its 50 mA × LEN at once.

    `node_volts` is unit → volts at the end of its drop, null where it cannot be worked out: on a
    tee that no feed reaches, or anywhere while a ring stands. `worst_volts` is null while any
    unit's is.
    """
    backbone = read_backbone(
        segments=segments, drops=drops, feeds=feeds, terminators=terminators, cable=cable
    )
    ways = find_ways(backbone.segments)
    pieces = find_pieces(ways)
    rings = find_rings(backbone.segments)
    longest = None
    if not rings:
        longest = max(find_longest_way(backbone, ways, piece) for piece in pieces)
    volts = _values_of_volts(backbone, ways, solvable=not rings)
    faults = _faults(backbone, ways, pieces, rings, longest, volts["node_volts"])
    ohms = _expected_ohms(backbone, pieces)
    return SumResult(
        values={
            "nodes": len(volts["node_volts"]),
            "len": sum(drop.len for drop in backbone.drops),
            **volts,
            "expected_ohms": ohms,
            "backbone_metres": longest[0] if longest else None,
            "faults": [fault.message for fault in faults],
            "fault_places": [asdict(fault) for fault in faults],
        },
        formula="node by node: volts at the feed less Σ 2 × Ω/m × metres × amps, amps = 0.05 × "
        "LEN; Ω = 120 / terminators; bus drop = 0.1 × LEN × metres × Ω/m",
        source=words.NMEA_2000,
        inputs=_inputs(backbone),
        notes=_notes(backbone, ways, solved=not rings),
        margin=_margin(backbone, volts, longest),
    )


def _values_of_volts(backbone: Backbone, ways: Ways, *, solvable: bool) -> dict[str, Any]:
    tee_volts: dict[str, float] = {}
    if solvable:
        fed = {feed.tee: feed.volts for feed in backbone.feeds}
        both_ways = CONDUCTORS * backbone.ohm_per_m
        tee_volts = find_tee_volts(ways, find_draws(backbone), fed, both_ways)
    node_volts = find_unit_volts(backbone, tee_volts)
    known = [volts for volts in node_volts.values() if volts is not None]
    complete = known and len(known) == len(node_volts)
    return {
        "node_volts": node_volts,
        "worst_volts": min(known) if complete else None,
        "tee_volts": {tee: tee_volts.get(tee) for tee in ways},
        "bus_drop_volts": estimate_drop(backbone, ways) if solvable else None,
    }


def _faults(
    backbone: Backbone,
    ways: Ways,
    pieces: list[list[str]],
    rings: list[list[str]],
    longest: tuple[float, str, str] | None,
    node_volts: dict[str, float | None],
) -> list[BackboneFault]:
    return [
        *ring_faults(rings),
        *piece_faults(pieces),
        *tee_faults(backbone, set(ways)),
        *unfed_faults(backbone, pieces),
        *unit_faults(backbone),
        *drop_faults(backbone),
        *(length_faults(backbone, longest) if longest else []),
        *terminator_faults(backbone, {tee: len(others) for tee, others in ways.items()}),
        *volt_faults(backbone, node_volts),
    ]


def _expected_ohms(backbone: Backbone, pieces: list[list[str]]) -> float | None:
    """Not known with no terminator, nor where the drawing is not one network."""
    if not backbone.terminators or len(pieces) > 1:
        return None
    return TERMINATOR_OHMS / len(backbone.terminators)


def _inputs(backbone: Backbone) -> dict[str, Any]:
    return {
        "cable": backbone.cable,
        "ohm_per_m": backbone.ohm_per_m,
        "segments": len(backbone.segments),
        "drops": len(backbone.drops),
        "feeds": {feed.tee: feed.volts for feed in backbone.feeds},
        "terminators": list(backbone.terminators),
    }


def _margin(
    backbone: Backbone, volts: dict[str, Any], longest: tuple[float, str, str] | None
) -> dict[str, float | None]:
    worst, limit = volts["worst_volts"], backbone.longest_m
    return {
        "volts": None if worst is None else worst - LOWEST_NODE_VOLTS,
        "nodes": MOST_DEVICES - len(volts["node_volts"]),
        "drops_metres": LONGEST_DROPS_M - sum(drop.metres for drop in backbone.drops),
        "backbone_metres": limit - longest[0] if limit is not None and longest else None,
    }


def _notes(backbone: Backbone, ways: Ways, *, solved: bool) -> tuple[str, ...]:
    notes = []
    if not solved:
        notes.append("Voltages and length are not known while a ring stands.")
    if len(backbone.feeds) > 1:
        notes.append(
            "Feed once, unless isolated supplies are used; never from the terminals of an "
            "engine's start battery. Each feed has its own fuse."
        )
    amps = sum(drop.len for drop in backbone.drops) * AMPS_PER_LEN
    most = _MOST_AMPS.get(backbone.cable)
    if most is not None and amps > most * max(len(backbone.feeds), 1):
        notes.append(f"The units draw {amps:g} A in all; {backbone.cable} cable takes {most} A.")
    branching = [tee for tee, others in ways.items() if len(others) > 2]
    if branching:
        notes.append(
            f"The backbone branches at {', '.join(branching)}: it is meant to be one line "
            "(from memory)."
        )
    return (
        *notes,
        _CABLE_NOTES[backbone.cable],
        "Drops are taken to be of the same cable as the backbone.",
        "The bus drop puts each side's load at its far end and overstates; the node voltages "
        "are solved.",
        DROP_LIMITS,
        "A node's 9 to 16 V is from memory.",
        words.ESTIMATE,
    )
