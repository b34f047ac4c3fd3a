"""The shape of a backbone: which tees are joined, rings, the longest way."""

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass

from planner.engine.sums.backbone_reading import Backbone, Segment

Ways = dict[str, list[tuple[str, float]]]
"""Tee → its neighbours with the metres to each."""


@dataclass(frozen=True, slots=True)
class _End:
    """A tee, or a unit `beyond` metres of drop from its tee."""

    name: str
    tee: str
    beyond: float


def find_ways(segments: Iterable[Segment]) -> Ways:
    """Neighbours of every tee, both directions."""
    ways: Ways = {}
    for segment in segments:
        ways.setdefault(segment.one, []).append((segment.other, segment.metres))
        ways.setdefault(segment.other, []).append((segment.one, segment.metres))
    return ways


def find_pieces(ways: Ways) -> list[list[str]]:
    """The tees of each joined piece, in the order of the drawing."""
    pieces: list[list[str]] = []
    seen: set[str] = set()
    for tee in ways:
        if tee not in seen:
            piece = list(walk_from(ways, tee))
            seen.update(piece)
            pieces.append(piece)
    return pieces


def find_rings(segments: Iterable[Segment]) -> list[list[str]]:
    """The tees of every ring, one for each segment that closes one."""
    rings = []
    ways: Ways = {}
    piece_of: dict[str, list[str]] = {}
    for segment in segments:
        one, other = segment.one, segment.other
        for tee in (one, other):
            ways.setdefault(tee, [])
            piece_of.setdefault(tee, [tee])
        if piece_of[one] is piece_of[other]:
            rings.append(_way_back(walk_from(ways, one), other))
            continue
        ways[one].append((other, segment.metres))
        ways[other].append((one, segment.metres))
        _merge(piece_of, piece_of[one], piece_of[other])
    return rings


def walk_from(ways: Ways, start: str) -> dict[str, tuple[str | None, float]]:
    """Every tee that can be reached: the tee before it and the metres from the start."""
    reached: dict[str, tuple[str | None, float]] = {start: (None, 0)}
    waiting = deque([start])
    while waiting:
        tee = waiting.popleft()
        for other, metres in ways[tee]:
            if other not in reached:
                reached[other] = (tee, reached[tee][1] + metres)
                waiting.append(other)
    return reached


def find_longest_way(
    backbone: Backbone, ways: Ways, piece: Iterable[str]
) -> tuple[float, str, str]:
    """The longest way of a piece without rings, with the names of its two ends.

    Drops count: one at the end that is longer than the way from its tee to the terminator is
    part of the backbone's length.
    """
    ends = [_End(f"tee {tee}", tee, 0.0) for tee in piece]
    inside = {end.tee for end in ends}
    ends += [
        _End(f"{drop.unit} on tee {drop.tee}", drop.tee, drop.metres)
        for drop in backbone.drops
        if drop.tee in inside
    ]
    _, first = _furthest(ways, ends, ends[0])
    metres, second = _furthest(ways, ends, first)
    return metres, first.name, second.name


def _furthest(ways: Ways, ends: list[_End], start: _End) -> tuple[float, _End]:
    reached = walk_from(ways, start.tee)
    away = [
        (start.beyond + reached[end.tee][1] + end.beyond, end) for end in ends if end is not start
    ]
    return max(away, key=lambda pair: pair[0])


def _merge(piece_of: dict[str, list[str]], one: list[str], other: list[str]) -> None:
    small, large = sorted((one, other), key=len)
    large += small
    for tee in small:
        piece_of[tee] = large


def _way_back(reached: dict[str, tuple[str | None, float]], end: str) -> list[str]:
    way = [end]
    before = reached[end][0]
    while before is not None:
        way.append(before)
        before = reached[before][0]
    return way[::-1]
