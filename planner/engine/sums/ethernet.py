"""Ethernet: free ports of a chain of switches, the speed two ends share, bend radius."""

from typing import Any

from planner.engine.sums.faults import refuse
from planner.engine.sums.inputs import read_number, read_rows, read_whole, show
from planner.engine.sums.results import SumResult

SPEEDS_MBIT = (10, 100, 1000, 2500, 5000, 10_000)
BENDS = 4
MOST = 1000


def find_free_ports(*, switches: Any, ports_each: Any) -> SumResult:
    """Ports left for devices when so many equal switches are joined without a loop."""
    count = read_whole("switches", switches, least=1, most=MOST, unit="switch")
    ports = read_whole("ports_each", ports_each, least=1, most=MOST, unit="port")
    free = ports * count - 2 * (count - 1)
    if free < 0:
        refuse("ports_each", f"{count} switches cannot be joined with {ports} port each.")
    return SumResult(
        values={"free_ports": free},
        formula="free = ports × switches − 2 × (switches − 1)",
        source="derived: each link between two switches takes a port of both",
        inputs={"switches": count, "ports_each": ports},
        notes=(
            "No loop: without spanning tree (IEEE 802.1D, from memory) a second path floods the "
            "network.",
            "The maker may allow fewer switches in a chain, or fewer devices.",
        ),
    )


def find_link_speed(*, mbit_a: Any, mbit_b: Any) -> SumResult:
    """The best speed that both ends can, in Mbit/s; null where they share none."""
    one, other = _read_speeds("mbit_a", mbit_a), _read_speeds("mbit_b", mbit_b)
    shared = set(one) & set(other)
    notes = [
        "Both ends set to find the speed by themselves; a fixed full-duplex end against one that "
        "does not fix it ends in half duplex (from memory).",
        "1000 Mbit/s needs all four pairs, 100 Mbit/s two.",
    ]
    if not shared:
        notes.insert(0, "The two ends share no speed: there is no link.")
    return SumResult(
        values={"mbit": max(shared, default=None)},
        formula="the highest speed in both lists",
        source="IEEE 802.3 clause 28: highest common ability",
        inputs={"mbit_a": one, "mbit_b": other},
        notes=tuple(notes),
    )


def find_bend_radius(*, diameter_mm: Any) -> SumResult:
    """The smallest radius a four-pair cable may be bent to."""
    diameter = read_number("diameter_mm", diameter_mm, most=200, unit="mm")
    return SumResult(
        values={"radius_mm": BENDS * diameter},
        formula="radius = 4 × outside diameter",
        source="TIA-568, four-pair cable, from memory",
        inputs={"diameter_mm": diameter},
        notes=("From memory. The cable maker's own radius stands above it.",),
    )


def _read_speeds(field: str, value: Any) -> list[int]:
    rows = read_rows(field, value)
    if not rows:
        refuse(field, "The list is empty: name the speeds that this end can, in Mbit/s.")
    for place, speed in enumerate(rows):
        whole = isinstance(speed, int | float) and not isinstance(speed, bool)
        if not whole or speed not in SPEEDS_MBIT:
            listed = ", ".join(str(known) for known in SPEEDS_MBIT)
            refuse(f"{field}[{place}]", f"{show(speed)} is no Ethernet speed: use {listed}.")
    return sorted({int(speed) for speed in rows})
