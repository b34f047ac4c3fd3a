"""Every single fault that a network can have, with how likely it is."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations_with_replacement

from planner.engine.finding.network import Line, Network

WEIGHTS = {
    "cable": 6.0,
    "off": 5.0,
    "weak": 3.0,
    "power": 5.0,
    "adapter": 4.0,
    "refused": 4.0,
    "port": 1.5,
    "too_many": 2.0,
    "speed": 2.0,
    "loop": 3.0,
    "terminator": 5.0,
    "extra_terminator": 3.0,
    "joined": 1.0,
    "open": 4.0,
    "short": 3.0,
    "power_short": 1.0,
    "feed": 5.0,
    "weak_feed": 2.0,
    "drop": 4.0,
    "node": 3.0,
}
"""Common practice, no source: connectors and cables first, boxes last."""


@dataclass(frozen=True, slots=True)
class Cause:
    """A single fault: its kind, its place, what it is told together with, and its weight.

    `scope` is the cable, unit, network or backbone that it lies in: causes of one kind and scope
    that nothing seen tells apart are named as one.
    """

    kind: str
    place: tuple[str, ...]
    scope: str
    weight: float

    @property
    def key(self) -> str:
        """The cause's name for programs."""
        return ":".join((self.kind, *self.place))


def all_causes(network: Network) -> list[Cause]:
    """Every single fault of the Ethernet and of each backbone."""
    causes = [*_of_units(network), *_of_cables(network), *_of_loops(network)]
    for line in network.lines.values():
        causes += _of_line(line)
    return causes


def _cause(kind: str, place: tuple[str, ...], scope: str, share: int = 1) -> Cause:
    return Cause(kind, place, scope, WEIGHTS[kind] / max(share, 1))


def cabled_units(network: Network) -> list[str]:
    """Units that a cable goes to, in the order of the record."""
    cabled = {end.unit for cable in network.cables.values() for end in cable.ends}
    return [key for key in network.units if key in cabled]


def _of_units(network: Network) -> Iterator[Cause]:
    cabled = cabled_units(network)
    displays = [key for key in cabled if network.units[key].kind == "display"]
    limits = [unit.most_displays for unit in network.units.values() if unit.most_displays]
    full = bool(limits) and len(displays) >= min(limits)
    for key in cabled:
        yield _cause("power", (key,), key)
        yield _cause("weak", (key,), key)
        if network.units[key].kind == "switch":
            continue
        yield _cause("off", (key,), key)
        yield _cause("refused", (key,), key)
    for key in displays:
        if len(displays) > 1:
            yield _cause("too_many", (key,), "Ethernet", len(displays) * (1 if full else 3))


def _of_cables(network: Network) -> Iterator[Cause]:
    for cable in network.cables.values():
        yield _cause("cable", (cable.key,), cable.key)
        yield _cause("speed", (cable.key,), cable.key)
        for end in cable.ends:
            yield _cause("port", (end.unit, str(end.port)), cable.key)
            if end.adapter:
                yield _cause("adapter", (end.unit, str(end.port)), cable.key)


def free_ports(network: Network, key: str) -> int:
    """Ports of a unit that no cable is in."""
    used = sum(end.unit == key for cable in network.cables.values() for end in cable.ends)
    return network.units[key].ports - used


def _of_loops(network: Network) -> Iterator[Cause]:
    """A cable too many between any two that pass traffic on and have a port left."""
    passing = [key for key in cabled_units(network) if network.units[key].bridges]
    left = {key: free_ports(network, key) for key in passing}
    pairs = [
        (one, other)
        for one, other in combinations_with_replacement(passing, 2)
        if (left[one] > 1 if one == other else left[one] > 0 and left[other] > 0)
    ]
    for pair in pairs:
        yield _cause("loop", pair, "Ethernet", len(pairs))


def _of_line(line: Line) -> Iterator[Cause]:
    key = line.key
    for tee in line.ends:
        yield _cause("terminator", (key, tee), key, len(line.ends))
    for feed in line.feeds:
        yield _cause("feed", (key, feed), key)
        yield _cause("weak_feed", (key, feed), key)
    for segment in line.segments:
        yield _cause("open", (key, segment), key, 2)
    spots = [*line.segments, *line.tees, *line.drops]
    for part, names in (("segment", line.segments), ("tee", line.tees), ("drop", line.drops)):
        for name in names:
            yield _cause("short", (key, part, name), key, len(spots))
    for unit in line.drops:
        yield _cause("drop", (key, unit), f"{key} {unit}")
        yield _cause("node", (key, unit), f"{key} {unit}")
        yield _cause("extra_terminator", (key, unit), key, len(line.drops))
    if line.feeds:
        yield _cause("power_short", (key,), key)
    yield _cause("joined", (key,), key)
