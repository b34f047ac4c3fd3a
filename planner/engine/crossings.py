"""A quick proof that no tree exists: some places have fewer ports than any tree needs there.

Take the nodes at some of the places. Without them the other nodes fall into parts that no cable
joins; a tree then has at least as many links at the taken nodes as there are taken nodes, and
one more for each part beyond the first, and one for each leaf that reaches nobody else.
"""

from collections import Counter
from collections.abc import Iterator
from itertools import combinations

from planner.engine.network import Wiring

_ALL_SUBSETS = 7


def ports_fall_short(wiring: Wiring, ports: list[tuple[int, int]], leaves: tuple[int, ...]) -> bool:
    """Whether some places have too few ports; `ports` holds (location, ports) of each node."""
    count: Counter[int] = Counter()
    room: Counter[int] = Counter()
    for place, number in ports:
        count[place] += 1
        room[place] += number
    every = sum(1 << place for place in count)
    waiting = [(wiring.next_to[a] & every, n) for a, n in enumerate(leaves) if n]
    for chosen in _subsets(sorted(count)):
        taken = sum(1 << place for place in chosen)
        needed = sum(n for reach, n in waiting if not reach & ~taken)
        if every != taken:
            needed += sum(count[place] for place in chosen) + _parts(wiring, every & ~taken) - 1
        else:
            needed += 2 * (len(ports) - 1)
        if needed > sum(room[place] for place in chosen):
            return True
    return False


def _subsets(places: list[int]) -> Iterator[tuple[int, ...]]:
    most = len(places) if len(places) <= _ALL_SUBSETS else 2
    for size in range(1, most + 1):
        yield from combinations(places, size)


def _parts(wiring: Wiring, places: int) -> int:
    """Into how many parts these places fall where cables lead only between them."""
    found = 0
    while places:
        places &= ~wiring.reached(places & -places, places)
        found += 1
    return found
