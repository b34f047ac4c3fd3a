"""Hold what was seen against every single fault simulated, and choose the next look."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from planner.engine.finding.backbone import LineModel
from planner.engine.finding.causes import Cause, all_causes
from planner.engine.finding.ethernet import EthernetModel
from planner.engine.finding.looks import Look, look_of, read_seen
from planner.engine.finding.network import Network, NetworkFault, read_network
from planner.engine.finding.words import CAUTIONS, cause_words

MOST_PAIRED = 60
"""So many single faults, the likeliest that explain something, are tried in pairs."""
NEXT_LOOKS = 3
PAIR_SHARE = 0.02

Shown = dict[str, str | None]
Cases = dict[tuple[Cause, ...], Shown]
"""Faults with what they show otherwise than the healthy network."""


@dataclass(frozen=True, slots=True)
class _Named:
    """Faults that are named as one, with their share of the weight."""

    faults: list[tuple[Cause, ...]]
    share: float


class Finder:
    """A network with all its single faults simulated once; asked as often as one likes."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self._ethernet = EthernetModel(network)
        self._lines = [LineModel(line) for line in network.lines.values()]
        self.healthy = self.show(())
        self.looks = {key: look_of(key, network) for key in self.healthy}
        self.causes = all_causes(network)
        self._singles: Cases = {
            (cause,): self._otherwise(self._show_changed((cause,))) for cause in self.causes
        }

    def show(self, causes: Iterable[Cause]) -> Shown:
        """What everything shows under these faults together."""
        together = tuple(causes)
        shown = self._ethernet.show(together)
        for line in self._lines:
            shown |= line.show(together)
        return shown

    def fits(self, seen: dict[str, str]) -> Cases:
        """The faults that agree with what was seen: single ones, else pairs."""
        odd = self.odd(seen)
        fitting = {
            causes: shown for causes, shown in self._singles.items() if _agrees(shown, seen, odd)
        }
        return fitting or self._pairs(seen, odd)

    def odd(self, seen: dict[str, str]) -> list[str]:
        """The looks that showed otherwise than on the healthy network."""
        return [key for key, value in seen.items() if self.healthy[key] not in {None, value}]

    def next_looks(self, fitting: Cases, seen: dict[str, str]) -> list[Look]:
        """The looks that tell most for their minutes, best first; none where none tells."""
        if len(fitting) < 2:
            return []
        worth = [
            (-gain / self.looks[key].minutes, self.looks[key].minutes, key)
            for key, gain in gains(fitting, self.healthy).items()
            if key not in seen and gain > 1e-9
        ]
        return [self.looks[key] for _worth, _minutes, key in sorted(worth)[:NEXT_LOOKS]]

    def shown_by(self, cause: Cause) -> Shown:
        """All that a single fault shows."""
        return self.healthy | self._singles[(cause,)]

    def otherwise(self, cause: Cause) -> Shown:
        """What a single fault shows otherwise than the healthy network."""
        return self._singles[(cause,)]

    def named(self, fitting: Cases) -> list[_Named]:
        """The faults that fit under their names, most likely first."""
        groups: dict[tuple[tuple[str, str], ...], list[tuple[Cause, ...]]] = {}
        for causes in fitting:
            name = tuple((cause.kind, cause.scope) for cause in causes)
            groups.setdefault(name, []).append(causes)
        whole = sum(_weight(causes) for causes in fitting)
        found = [_Named(each, sum(map(_weight, each)) / whole) for each in groups.values()]
        return sorted(found, key=lambda each: (-each.share, each.faults[0][0].key))

    def _show_changed(self, causes: tuple[Cause, ...]) -> Shown:
        """Only the parts of the boat in which the faults lie are simulated anew."""
        changed = self.healthy.copy()
        touched = {cause.place[0] for cause in causes if cause.kind in _OF_LINE}
        for line in self._lines:
            if line.line.key in touched:
                changed |= line.show(causes)
        if any(cause.kind not in _OF_LINE for cause in causes):
            changed |= self._ethernet.show(causes)
        return changed

    def _otherwise(self, shown: Shown) -> Shown:
        return {key: value for key, value in shown.items() if value != self.healthy[key]}

    def _pairs(self, seen: dict[str, str], odd: list[str]) -> Cases:
        useful = [
            cause
            for (cause,), shown in self._singles.items()
            if any(key in shown and shown[key] in {None, seen[key]} for key in odd)
        ]
        useful.sort(key=lambda cause: (-cause.weight, cause.key))
        pairs = {}
        for pair in combinations(useful[:MOST_PAIRED], 2):
            if self._may_explain(pair, odd, seen):
                shown = self._otherwise(self._show_changed(pair))
                if _agrees(shown, seen, odd):
                    pairs[pair] = shown
        return pairs

    def _may_explain(self, pair: tuple[Cause, ...], odd: list[str], seen: dict[str, str]) -> bool:
        """Whether each thing that is odd is shown by one of the two; what neither shows alone is
        hardly ever shown by both."""
        alone = [self._singles[(cause,)] for cause in pair]
        return all(any(shown.get(key, "") in {None, seen[key]} for shown in alone) for key in odd)


_OF_LINE = {
    "terminator", "feed", "weak_feed", "open", "short", "drop", "node", "extra_terminator",
    "power_short", "joined",
}  # fmt: skip


def find_faults(given: Any, seen: Any) -> dict[str, Any]:
    """The causes that fit, most likely first, and the next looks; JSON in and out.

    `given` is the network, `seen` look → answer (or a number for volts and ohms). NetworkFault
    names what cannot be read.
    """
    finder = Finder(read_network(given))
    return tell(finder, read_seen(seen, finder.looks))


def tell(finder: Finder, seen: dict[str, str]) -> dict[str, Any]:
    """The answer of a finder for what was seen."""
    fitting = finder.fits(seen)
    named = finder.named(fitting) if fitting else []
    odd = finder.odd(seen)
    return {
        "fits": bool(fitting),
        "healthy": not odd,
        "pairs": bool(fitting) and len(next(iter(fitting))) > 1,
        "causes": [_told(each, finder.network) for each in named],
        "next": [look.as_dict() for look in finder.next_looks(fitting, seen)],
        "odd": [finder.looks[key].question for key in odd],
        "nearest": [] if fitting else _nearest(finder, seen),
        "cautions": list(CAUTIONS),
    }


def first_looks(finder: Finder) -> list[Look]:
    """What is asked before anything is known: lights, screens, lists, ohms."""
    return [look for look in finder.looks.values() if look.at_first]


def _told(named: _Named, network: Network) -> dict[str, Any]:
    columns = zip(*named.faults, strict=True)
    words = [cause_words(list(dict.fromkeys(column)), network) for column in columns]
    return {
        "words": "; and ".join(words),
        "kinds": [cause.kind for cause in named.faults[0]],
        "keys": ["+".join(cause.key for cause in causes) for causes in named.faults],
        "share": round(named.share, 4),
    }


def _nearest(finder: Finder, seen: dict[str, str]) -> list[dict[str, Any]]:
    """Where nothing fits: what would fit if the fewest answers were otherwise."""
    odd = finder.odd(seen)
    missed = []
    for cause in finder.causes:
        shown = finder.otherwise(cause)
        wrong = [key for key in odd if shown.get(key, "") not in {None, seen[key]}]
        wrong += [
            key
            for key, value in shown.items()
            if key not in odd and value is not None and seen.get(key, value) != value
        ]
        missed.append((len(wrong), -cause.weight, cause.key, wrong, cause))
    return [
        {
            "words": cause_words([cause], finder.network),
            "look_again": [finder.looks[key].question for key in wrong],
        }
        for *_order, wrong, cause in sorted(missed, key=lambda each: each[:3])[:3]
    ]


def _agrees(shown: Shown, seen: dict[str, str], odd: list[str]) -> bool:
    """Whether a fault explains all that is odd, and shows nothing that was seen otherwise."""
    if not all(key in shown for key in odd):
        return False
    return all(value is None or seen.get(key, value) == value for key, value in shown.items())


def _weight(causes: tuple[Cause, ...]) -> float:
    weight = math.prod(cause.weight for cause in causes)
    return weight * PAIR_SHARE if len(causes) > 1 else weight


class _Heap:
    """Weights that share an answer: their sum, and what their spread needs."""

    def __init__(self) -> None:
        self.sum = self.logs = 0.0

    def add(self, weight: float, sign: int = 1) -> None:
        self.sum += sign * weight
        self.logs += sign * weight * math.log2(weight)

    @property
    def spread(self) -> float:
        """Entropy of the weights, times their sum."""
        return self.sum * math.log2(self.sum) - self.logs if self.sum > 1e-12 else 0.0


def gains(fitting: Cases, healthy: Shown) -> dict[str, float]:
    """Bits that each look tells about the faults that fit; either way counts as half of each."""
    everything = _Heap()
    otherwise: dict[str, list[tuple[str | None, float]]] = {}
    for causes, shown in fitting.items():
        weight = _weight(causes)
        everything.add(weight)
        for key, value in shown.items():
            otherwise.setdefault(key, []).append((value, weight))
    return {
        key: _gain(rows, healthy[key], everything, len(fitting)) for key, rows in otherwise.items()
    }


def _gain(
    rows: list[tuple[str | None, float]], usual: str | None, everything: _Heap, count: int
) -> float:
    heaps: dict[str | None, _Heap] = {usual: _Heap()}
    heaps[usual].sum, heaps[usual].logs = everything.sum, everything.logs
    for value, weight in rows:
        heaps[usual].add(weight, -1)
        heaps.setdefault(value, _Heap()).add(weight)
    if len(rows) == count:
        del heaps[usual]
    unsure = heaps.pop(None, None)
    # Where it may go either way it tells nothing; the sure answers alone are told apart.
    left = sum(heap.spread for heap in heaps.values()) + (unsure.spread if unsure else 0.0)
    told = everything.spread - left
    if unsure:
        known = everything.sum - unsure.sum
        told *= known / everything.sum if len(heaps) > 1 else 0.5 * known / everything.sum
    return told / everything.sum


__all__ = ["Finder", "NetworkFault", "find_faults", "first_looks", "read_network", "tell"]
