"""Which combinations fail more than the fleet: counted over boats; pure.

A combination is a model, perhaps at one release, perhaps beside another model, perhaps on a
network with one model of switch. At risk are the boats that carry it and were looked at in the
period; affected are those of them with a note on that model. Exposure ends with the last look at
the boat, not today.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import product

from shopapp.fleet.figures import (
    FALSE_SHARE,
    LEAST_BOATS,
    TOO_FEW,
    binomial_tail,
    corrected,
    wilson,
)

ANY = 0
QUARTERS = 8
# (model, release, counterpart, switch); ANY where it is left open.
Key = tuple[int, int, int, int]
# What is aboard, sorted: (model, release or 0 where nobody knows it), switches marked.
Aboard = tuple[tuple[int, int, bool], ...]


@dataclass(frozen=True, slots=True)
class Seen:
    """A boat looked at in the period: what is aboard, years exposed in each quarter of it."""

    boat: int
    aboard: Aboard
    years: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class NoteSeen:
    """A note of the period: on which boat and model, at which release then, in which quarter."""

    boat: int
    model: int
    release: int
    counterpart: int
    switch: int
    quarter: int
    symptom: str
    minutes: int


@dataclass(slots=True)
class Found:
    """A combination with its counts."""

    key: Key
    boats: set[int] = field(default_factory=set)
    by_quarter: list[set[int]] = field(default_factory=lambda: [set() for _ in range(QUARTERS)])
    symptoms: Counter = field(default_factory=Counter)
    notes: int = 0
    minutes: int = 0
    at_risk: int = 0
    unknown: int = 0
    years: list[float] = field(default_factory=lambda: [0.0] * QUARTERS)
    chance: float = 1.0
    corrected: float = 1.0
    within: Key | None = None
    alarm: bool = False

    @property
    def affected(self) -> int:
        """Boats with a note."""
        return len(self.boats)

    @property
    def low(self) -> float:
        """The lower end of the share's interval."""
        return wilson(self.affected, self.at_risk)[0] if self.at_risk else 0.0


@dataclass(slots=True)
class Count:
    """The whole count: combinations with a note, the fleet's own rate, how many were looked at."""

    found: list[Found]
    pairs: int
    affected_pairs: int
    tested: int
    boats: int
    years: float

    @property
    def share(self) -> float:
        """The fleet's rate: of all (boat, model) pairs looked at, the share with a note."""
        return self.affected_pairs / self.pairs if self.pairs else 0.0


def keys_of(model: int, release: int, others: Iterable[int], switches: Iterable[int]) -> Iterator:
    """Every combination that one unit stands in."""
    releases = (ANY, release) if release else (ANY,)
    beside = (ANY, *sorted(set(others) - {model}))
    on = (ANY, *sorted(set(switches) - {model}))
    for parts in product(releases, beside, on):
        yield (model, *parts)


def keys_aboard(aboard: Aboard) -> set[Key]:
    """Every combination that a boat carries, each once."""
    switches = {model for model, _, is_switch in aboard if is_switch}
    others = {model for model, _, is_switch in aboard if not is_switch}
    return {
        key for model, release, _ in aboard for key in keys_of(model, release, others, switches)
    }


def count_fleet(seen: Iterable[Seen], notes: Iterable[NoteSeen]) -> Count:
    """Count every combination; those with at least one note come back, ranked."""
    kinds: dict[Aboard, list] = {}
    at: dict[int, Aboard] = {}
    for boat in seen:
        at[boat.boat] = boat.aboard
        kept = kinds.setdefault(boat.aboard, [0, [0.0] * QUARTERS])
        kept[0] += 1
        kept[1] = [sum(pair) for pair in zip(kept[1], boat.years, strict=True)]
    found = _affected(notes, at)
    tested = _at_risk(kinds, found)
    _add_those_updated_since(found, at)
    pairs = sum(n * len({model for model, *_ in aboard}) for aboard, (n, _) in kinds.items())
    hit = sum(one.affected for key, one in found.items() if key[1:] == (ANY, ANY, ANY))
    years = sum(sum(kept[1]) for kept in kinds.values())
    count = Count(list(found.values()), pairs, hit, tested, len(at), years)
    _judge(count)
    return count


def _affected(notes: Iterable[NoteSeen], at: dict[int, Aboard]) -> dict[Key, Found]:
    found: dict[Key, Found] = {}
    for note in notes:
        if note.boat not in at:
            continue
        aboard = at[note.boat]
        others = {m for m, _, is_switch in aboard if not is_switch} | {note.counterpart} - {ANY}
        switches = {m for m, _, is_switch in aboard if is_switch} | {note.switch} - {ANY}
        for key in keys_of(note.model, note.release, others, switches):
            one = found.setdefault(key, Found(key))
            one.boats.add(note.boat)
            one.by_quarter[note.quarter].add(note.boat)
            one.symptoms[note.symptom] += 1
            one.notes += 1
            one.minutes += note.minutes
    return found


def _at_risk(kinds: dict[Aboard, list], found: dict[Key, Found]) -> int:
    """Fill in boats at risk and years; how many combinations have boats enough to be tested."""
    boats: Counter = Counter()
    unknown: Counter = Counter()
    for aboard, (number, years) in kinds.items():
        for key in keys_aboard(aboard):
            boats[key] += number
            if key in found:
                one = found[key]
                one.at_risk += number
                one.years = [sum(pair) for pair in zip(one.years, years, strict=True)]
        blank = {model for model, release, is_switch in aboard if not release and not is_switch}
        for model in blank:
            unknown[model] += number
    for key, one in found.items():
        one.unknown = unknown[key[0]] if key[1] else 0
    return sum(number >= TOO_FEW for number in boats.values())


def _add_those_updated_since(found: dict[Key, Found], at: dict[int, Aboard]) -> None:
    """A boat affected at a release that it has left since was at risk there all the same."""
    carried: dict[int, set[Key]] = {}
    noted = defaultdict(set)
    for key, one in found.items():
        for boat in one.boats:
            noted[boat].add(key)
    for boat, keys in noted.items():
        carried[boat] = keys_aboard(at[boat])
        for key in keys - carried[boat]:
            found[key].at_risk += 1


def _judge(count: Count) -> None:
    """Chance against the fleet's rate, corrected for all looks; alarms; what lies within what."""
    enough = [one for one in count.found if one.at_risk >= TOO_FEW]
    for one in enough:
        one.chance = binomial_tail(one.affected, one.at_risk, count.share)
    looks = max(count.tested, len(enough))
    for one, chance in zip(enough, corrected([o.chance for o in enough], looks), strict=True):
        one.corrected = chance
        sure = chance <= FALSE_SHARE and one.low > count.share
        one.alarm = sure and one.affected >= LEAST_BOATS
    count.found.sort(key=rank)
    _fold(count)


def rank(one: Found) -> tuple:
    """Alarms first, then by the lower end of the interval, so that one of one is not on top."""
    return (not one.alarm, one.at_risk < TOO_FEW, -one.low, -one.affected, one.key)


def _fold(count: Count) -> None:
    """Fold an alarm under a surer one that explains it: its other boats fail no more than most."""
    by_key = {one.key: one for one in count.found}
    leading: list[Found] = []
    for one in (one for one in count.found if one.alarm):
        above = next((lead for lead in leading if _explains(lead, one, by_key, count.share)), None)
        if above is None:
            leading.append(one)
        else:
            one.within = above.key


def _explains(lead: Found, one: Found, by_key: dict[Key, Found], share: float) -> bool:
    if lead.key[0] != one.key[0]:
        return False
    rest = len(one.boats - lead.boats)
    if rest < LEAST_BOATS:
        return True
    both = by_key.get(_joined(lead.key, one.key))
    at_risk = one.at_risk - both.at_risk if both else one.at_risk
    return at_risk < rest or binomial_tail(rest, at_risk, share) > FALSE_SHARE


def _joined(key: Key, other: Key) -> Key | None:
    """The combination of two combinations; None where no boat's one unit can stand in both."""
    if any(a and b and a != b for a, b in zip(key, other, strict=True)):
        return None
    return tuple(a or b for a, b in zip(key, other, strict=True))
