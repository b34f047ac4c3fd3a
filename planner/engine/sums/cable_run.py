"""The Ethernet cable to buy for a run, and loops among cables."""

from typing import Any

from planner.engine.sums.backbone_reading import Segment
from planner.engine.sums.backbone_tree import find_rings
from planner.engine.sums.faults import refuse
from planner.engine.sums.inputs import (
    read_key,
    read_name,
    read_number,
    read_number_or_zero,
    read_rows,
)
from planner.engine.sums.results import SumResult

SOLD_FT = (5, 10, 15, 20, 30)
"""Lengths sold, common practice, no source: a shop names its own."""
SLACK_FT = 2
SLACK_PERCENT = 10
FEET_PER_METRE = 1 / 0.3048
LONGEST_M = 100
MOST_FEET = 5000
MOST_LINKS = 500


def find_cable_run(
    *, route_ft: Any, slack_ft: Any = SLACK_FT, slack_percent: Any = SLACK_PERCENT, sold_ft: Any
) -> SumResult:
    """The shortest cable sold that reaches: the route and the larger slack; null where none is."""
    route = read_number("route_ft", route_ft, most=MOST_FEET, unit="ft")
    slack = read_number_or_zero("slack_ft", slack_ft, most=100, unit="ft")
    share = read_number_or_zero("slack_percent", slack_percent, most=100, unit="%")
    sold = _read_sold(sold_ft)
    needed = route + slack_of(route, slack, share)
    bought = next((feet for feet in sold if needed <= feet + 1e-9), None)
    return SumResult(
        values={"needed_ft": needed, "buy_ft": bought, "needed_m": needed / FEET_PER_METRE},
        formula="needed = route + the larger of slack ft and slack % of the route; the next "
        "length sold",
        source="slack: common practice, no source; 100 m: IEEE 802.3, from memory",
        inputs={
            "route_ft": route,
            "slack_ft": slack,
            "slack_percent": share,
            "sold_ft": sold,
        },
        notes=_run_notes(needed, bought, sold),
        margin={
            "spare_ft": None if bought is None else bought - needed,
            "to_100_m": LONGEST_M - needed / FEET_PER_METRE,
        },
    )


def slack_of(route: float, slack: float, percent: float) -> float:
    """Slack for a route: so many feet or a share of it, whichever is more."""
    return max(slack, route * percent / 100)


def find_ethernet_loops(*, links: Any) -> SumResult:
    """Rings among the cables of a network: each row joins two switches or bridging units."""
    rows = read_rows("links", links)
    if not rows:
        refuse("links", "The list is empty: name each cable by the two units that it joins.")
    if len(rows) > MOST_LINKS:
        refuse("links", f"{len(rows)} cables; at most {MOST_LINKS} are taken.")
    rings = find_rings([_read_link(f"links[{place}]", row) for place, row in enumerate(rows)])
    return SumResult(
        values={"loops": rings, "faults": [_loop_words(ring) for ring in rings]},
        formula="a cable whose two ends are joined already closes a loop",
        source="derived; IEEE 802.1D for why a loop floods, from memory",
        inputs={"links": len(rows)},
        notes=(
            "A two-port display that passes traffic on counts as a switch.",
            "Pull one cable of the loop; which one is for the drawing to say.",
        ),
    )


def _read_sold(value: Any) -> list[float]:
    rows = read_rows("sold_ft", value)
    if not rows:
        refuse("sold_ft", "The list is empty: name the lengths sold, in feet.")
    sold = [
        read_number(f"sold_ft[{place}]", row, most=MOST_FEET, unit="ft")
        for place, row in enumerate(rows)
    ]
    return sorted(sold)


def _read_link(field: str, row: Any) -> Segment:
    one = read_name(f"{field}.from", read_key(field, row, "from"))
    other = read_name(f"{field}.to", read_key(field, row, "to"))
    return Segment(one, other, 1)


def _run_notes(needed: float, bought: float | None, sold: list[float]) -> tuple[str, ...]:
    notes = []
    if needed / FEET_PER_METRE > LONGEST_M:
        notes.append("Over 100 m no Ethernet cable carries: put a switch half-way.")
    if bought is None:
        notes.append(
            f"No cable sold reaches: the longest has {sold[-1]:g} ft. Move the switch, or add one "
            "half-way; it counts in the chain."
        )
    return (
        *notes,
        "Measure along the route as the cable will lie, not the straight line.",
        "Leave a drip loop; coil the rest away from motor cables and the compass.",
    )


def _loop_words(ring: list[str]) -> str:
    if len(ring) == 1:
        return f"A cable goes from {ring[0]} back to {ring[0]}: pull it."
    if len(ring) == 2:
        return f"Two cables join {ring[0]} and {ring[1]}: pull one of them."
    return f"Loop over {' – '.join([*ring, ring[0]])}: pull one cable of it."
