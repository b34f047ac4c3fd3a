"""The least that the slots from one depth on can still cost: an exact answer to a looser question.

Loosened: every location has the installed cables to itself, every leaf may take the nearest
node, ports count only in sum. Statements that count units are kept in full. The value is found
by dynamic programming over (depth, leaves at this location, ports left, counts).
"""

from planner.engine.frames import IMPOSSIBLE, Frame
from planner.engine.network import Wiring
from planner.engine.problem import LEAF

Nearest = tuple[tuple[int, int], ...]


def nearest_links(wiring: Wiring, places: int, weight: int) -> Nearest:
    """For each location: the free cables to any of these node places, and what the next costs.

    `places` is a bit mask of locations; no place at all makes every link free, since then a
    single link between two leaves is all there can be.
    """
    size = len(wiring.price)
    if not places:
        return tuple((size, 0) for _ in range(size))
    found = []
    for a in range(size):
        nodes = [b for b in range(size) if places >> b & 1]
        prices = [cents for b in nodes if (cents := wiring.price[a][b]) is not None]
        price = min(prices) * weight if prices else IMPOSSIBLE
        found.append((sum(wiring.free[a][b] for b in nodes), price))
    return tuple(found)


class Bound:
    """Bounds for one frame and one set of node places; every state is worked out once."""

    def __init__(self, frame: Frame, nearest: Nearest) -> None:
        self.frame = frame
        self.nearest = nearest
        self._known: dict[tuple[int, int, int, int], int] = {}

    def link(self, depth: int, taken: int) -> int:
        """The least weight of one more link from the location at this depth."""
        free, price = self.nearest[self.frame.places[depth]]
        return 0 if taken < free else price

    def rest(self, depth: int, taken: int, room: int, counts: int) -> int:
        """The least weight of the slots from `depth` on.

        `taken` leaves of this location have links already, `room` more leaves find a port.
        """
        frame = self.frame
        left = len(frame.order) - depth
        if not left:
            ok = room >= 0 and frame.satisfied(counts)
            return 0 if ok else IMPOSSIBLE
        if room < 0 and depth >= frame.first_leaf:
            return IMPOSSIBLE
        if frame.fresh[depth]:
            taken = 0
        key = (depth, taken, min(room, left), counts)
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._work_out(*key)
        return known

    def _work_out(self, depth: int, taken: int, room: int, counts: int) -> int:
        frame = self.frame
        best = IMPOSSIBLE
        free, price = self.nearest[frame.places[depth]]
        link = 0 if taken < free else price
        for weight, kind, spread, counted in frame.steps[depth]:
            if weight >= best:
                break
            after = frame.advance(counts, counted) if counted else counts
            if after < 0:
                continue
            total = weight + (link if kind else 0)
            total += self.rest(depth + 1, taken + (kind == LEAF), room + spread, after)
            best = min(best, total)
        return best
