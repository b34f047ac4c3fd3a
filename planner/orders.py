"""What a job takes over from a plan: its order of work and its ports."""

from typing import Any

from planner.engine import assign_ports, order_of_work

JsonDict = dict[str, Any]
KnownPorts = dict[str, dict[str, int]]


def steps_of(*, case: JsonDict, plan: JsonDict) -> list[JsonDict]:
    """The steps of a plan in their order, cautions first; what is not known counts as present."""
    return order_of_work(case, plan, context_of(case), known_ports_of(case))


def links_of(*, case: JsonDict, plan: JsonDict) -> list[JsonDict]:
    """Each link of a plan with its port at both ends; cables in place keep theirs."""
    return assign_ports(case, plan, known_ports_of(case))


def known_ports_of(case: JsonDict) -> KnownPorts:
    """Which port each cable in place is in now, as far as the records know both ends."""
    known = {}
    for cable in case["boat"]["cables"]:
        ends = {unit: port for unit, port in (cable.get("ends") or {}).items() if port}
        if len(ends) == 2:
            known[cable["id"]] = ends
    return known


def context_of(case: JsonDict) -> JsonDict:
    """The boat's volts, fuel and bank chemistry for the cautions; None where not known."""
    show = case.get("show", {})
    boat = show.get("boat", {})
    return {
        "dc_volts": boat.get("dc_volts"),
        "fuel": boat.get("fuel") or None,
        "chemistry": _chemistry([bank["chemistry"] for bank in show.get("banks", [])]),
    }


def _chemistry(kinds: list[str]) -> str | None:
    """One lithium bank makes the boat a lithium boat; one unknown bank leaves it unknown."""
    if "lithium" in kinds:
        return "lithium"
    return kinds[0] if kinds and all(kinds) else None
