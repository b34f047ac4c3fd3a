"""Which port of which unit each link of a plan goes to."""

from collections.abc import Mapping
from typing import Any

from planner.engine.facts import Case
from planner.engine.reading import read_case

KnownPorts = Mapping[str, Mapping[str, int]]
BUY = "buy:"


def assign_ports(
    case: dict[str, Any], plan: dict[str, Any], known_ports: KnownPorts | None = None
) -> list[dict[str, Any]]:
    """Give every link of the plan a port at each end, in the order of the plan's links.

    Ports count from 1 and serve one link each. A reused cable keeps its ports where
    `known_ports` (cable id → unit id → port) has it between the same two units and the ports
    exist and are free; all other links take the lowest free port. `feet` is the length of the
    cable itself.
    """
    return ports_of(read_case(case), plan, known_ports or {})


def ports_of(case: Case, plan: dict[str, Any], known: KnownPorts) -> list[dict[str, Any]]:
    """The same for a case that has been read."""
    count = {row["unit"]: case.models[row["model"]].ports for row in plan["units"]}
    taken: dict[str, set[int]] = {name: set() for name in count}
    kept = [_keep(link, known, count, taken) for link in plan["links"]]
    rows = []
    for link, ports in zip(plan["links"], kept, strict=True):
        chosen = ports if ports is not None else [_lowest(taken[end]) for end in link["between"]]
        rows.append(
            {
                "between": list(link["between"]),
                "ports": chosen,
                "cable": link["cable"],
                "feet": feet_of(case, link["cable"]),
            }
        )
    return rows


def _keep(
    link: dict[str, Any],
    known: KnownPorts,
    count: Mapping[str, int],
    taken: dict[str, set[int]],
) -> list[int] | None:
    ends = link["between"]
    ports = known.get(link["cable"], {})
    if set(ports) != set(ends):
        return None
    for end in ends:
        if not 1 <= ports[end] <= count[end] or ports[end] in taken[end]:
            return None
    for end in ends:
        taken[end].add(ports[end])
    return [ports[end] for end in ends]


def _lowest(taken: set[int]) -> int:
    port = 1
    while port in taken:
        port += 1
    taken.add(port)
    return port


def feet_of(case: Case, cable: str) -> int | None:
    """The length of a plan's cable, installed or to be bought."""
    kinds = {aboard.id: aboard.cable for aboard in case.cables}
    kind = cable.removeprefix(BUY) if cable.startswith(BUY) else kinds.get(cable)
    lengths = {sold.id: sold.feet for sold in case.cables_sold}
    return None if kind is None else lengths.get(kind)
