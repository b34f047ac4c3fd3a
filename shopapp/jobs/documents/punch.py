"""The punch list at the end of every order, and what is handed over. Common practice, no source."""

from typing import Any

ALWAYS = (
    "Every unit powers up from the fuse drawn and dies with the cut-off drawn",
    "Source selections set by hand, not left automatic, and written down",
    "Alarms sound",
    "Time zone, units and offsets set",
    "Brackets tight, glands sealed, caps on unused ports",
    "No duplicate instance in the device list",
    "Engine started with electronics on: nothing restarts",
    "Labels on both ends of every cable; photos of lights, version pages and wiring",
)
HANDOVER = (
    "As-built drawing and fuse list",
    "Units with serials and releases",
    "Waypoint and settings backup",
    "Warranty dates",
    "What was left undone and why",
    "How to isolate, whom to call",
    "Displays are aids, not for sole navigation",
)


def punch_list(units: list[dict[str, Any]]) -> list[str]:
    """The lines to tick before the sign-off; the stations and counts are those of the plan."""
    networked = [unit["unit"] for unit in units if unit["networked"]]
    lines = list(ALWAYS)
    if len(networked) > 1:
        seen = f"Each display lists all {len(networked)} networked units at the releases planned: "
        lines.insert(1, seen + ", ".join(networked))
    if any(unit["release_before"] for unit in units):
        lines.append("Waypoints counted before and after the updates: the same number")
    return lines
