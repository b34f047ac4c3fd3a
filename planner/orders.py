"""What a job takes over from a plan: which port each link goes to."""

from typing import Any

from planner.engine import assign_ports

JsonDict = dict[str, Any]


def links_of(*, case: JsonDict, plan: JsonDict) -> list[JsonDict]:
    """Each link of a plan with its port at both ends; cables in place keep theirs."""
    return assign_ports(case, plan, known_ports_of(case))


def known_ports_of(case: JsonDict) -> dict[str, dict[str, int]]:
    """Which port each cable in place is in now, where the records know both ends."""
    known = {}
    for cable in case["boat"]["cables"]:
        ends = {unit: port for unit, port in (cable.get("ends") or {}).items() if port}
        if len(ends) == 2:
            known[cable["id"]] = ends
    return known
