"""States of a walk that need not be gone on from: enough others reached the same, no worse.

Two states that have settled the same slots, hold as many leaves at each location and count the
same go on alike: whatever completes one completes the other. So where one is no lighter and has
no more current left than another, nothing below it can be better than what lies below the other;
where several kinds of plan are asked for, that many others, each of another kind, are needed.
"""

from collections.abc import Hashable

Entry = tuple[int, int, Hashable]


class Dominance:
    """What a walk has seen so far; `needed` kinds that are as good close a state."""

    def __init__(self, needed: int) -> None:
        self.needed = needed
        self._seen: dict[Hashable, list[Entry]] = {}

    def beaten(self, standing: Hashable, weight: int, power: int, kind: Hashable) -> bool:
        """Whether others that stand alike close this state; if not it is remembered."""
        seen = self._seen.setdefault(standing, [])
        better = {k for w, p, k in seen if w <= weight and p >= power}
        if len(better) >= self.needed or kind in better:
            return True
        seen.append((weight, power, kind))
        return False
