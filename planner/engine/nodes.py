"""Nodes, the units that pass traffic on, and what their ports and links cost at given prices."""

from collections.abc import Sequence
from typing import NamedTuple

from planner.engine.network import IMPOSSIBLE, Wiring

Margins = tuple[tuple[int, ...], ...]
Table = Sequence[Sequence[int]]


class Node(NamedTuple):
    """A networked unit that passes traffic on; two with different `tag`s are never joined."""

    location: int
    ports: int
    least_links: int
    adapter_cents: int
    adapters: int
    tag: int = 0


def port_costs(node: Node, cents: int, *, alone: bool) -> tuple[list[int], int]:
    """The weight of each port of a node, cheapest first, and how many must be used.

    A node that is the only one may do without any link.
    """
    spare = min(node.adapters, node.ports)
    costs = [0] * spare + [node.adapter_cents * cents] * (node.ports - spare)
    least = 0 if alone and node.least_links < 2 else node.least_links
    return costs, min(least, node.ports)


def laid_pairs(wiring: Wiring) -> list[tuple[int, int]]:
    """The pairs of locations between which cables are installed, each once."""
    size = len(wiring.price)
    return [(a, b) for a in range(size) for b in range(a, size) if wiring.free[a][b]]


def laid_table(wiring: Wiring, prices: Sequence[int]) -> list[list[int]]:
    """The price of an installed cable by its two locations, from one for each pair."""
    size = len(wiring.price)
    table = [[0] * size for _ in range(size)]
    for (a, b), price in zip(laid_pairs(wiring), prices, strict=True):
        table[a][b] = table[b][a] = price
    return table


def link_weight(wiring: Wiring, one: Node, two: Node, cents: int, laid: Table | None = None) -> int:
    """The least weight of a link between two nodes; `laid` prices the installed cables."""
    if one.tag and two.tag and one.tag != two.tag:
        return IMPOSSIBLE
    a, b = one.location, two.location
    price = wiring.price[a][b]
    bought = IMPOSSIBLE if price is None else price * cents
    if not wiring.free[a][b]:
        return bought
    return min(0 if laid is None else laid[a][b], bought)


def link_margins(
    wiring: Wiring,
    places: int,
    weight: int,
    ports: Sequence[int] | None = None,
    laid: Table | None = None,
) -> Margins:
    """For each location: what its first, second ... leaf pays to any of these node places.

    `places` is a bit mask of locations; `ports` and `laid` hold what a port and an installed
    cable cost. The last figure stands for all further leaves. No place at all makes every link
    free, since then a single link between two leaves is all there can be.
    """
    size = len(wiring.price)
    if not places:
        return ((0,),) * size
    nodes = [b for b in range(size) if places >> b & 1]
    port = [0] * size if ports is None else ports
    found = []
    for a in range(size):
        row = wiring.price[a]
        bought = [cents * weight + port[b] for b in nodes if (cents := row[b]) is not None]
        last = min(bought, default=IMPOSSIBLE)
        first = [
            there
            for b in nodes
            for there in [port[b] + (0 if laid is None else laid[a][b])] * wiring.free[a][b]
            if there < last
        ]
        found.append((*sorted(first), last))
    return tuple(found)


def first_margins(margins: Sequence[int], count: int) -> int:
    """What the first so many leaves of one location pay."""
    listed = margins[:count]
    return sum(listed) + (count - len(listed)) * margins[-1]


def taken_slots(
    wiring: Wiring,
    a: int,
    ports: Sequence[float],
    laid: Sequence[Sequence[float]],
    cents: int,
    places: Sequence[int],
) -> tuple[list[tuple[float, int, int]], tuple[float, int, int]]:
    """What each leaf at a location pays in turn, as (weight, port's location, 1 for an installed
    cable); the last stands for all further ones.
    """
    row, free = wiring.price[a], wiring.free[a]
    bought = [(c * cents + ports[b], b, 0) for b in places if (c := row[b]) is not None]
    last = min(bought, default=(float(IMPOSSIBLE), places[0], 0))
    first = [
        slot
        for b in places
        for slot in [(ports[b] + laid[a][b], b, 1)] * free[b]
        if slot[0] < last[0]
    ]
    return sorted(first), last
