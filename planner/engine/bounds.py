"""The least that the slots from one depth on can still cost: an exact answer to a looser question.

Loosened: every location has the installed cables to itself, every leaf may take the nearest
node, ports count only in sum. Statements that count units are kept in full. The value is found
by dynamic programming over (depth, leaves at this location, ports left, counts).
"""

from collections.abc import Sequence

from planner.engine.frames import Frame, Step
from planner.engine.network import IMPOSSIBLE
from planner.engine.nodes import Margins
from planner.engine.problem import LEAF


class Bound:
    """Bounds for one frame and one set of node places; every state is worked out once."""

    def __init__(
        self, frame: Frame, margins: Margins, steps: Sequence[Sequence[Step]] | None = None
    ) -> None:
        self.frame = frame
        self.margins = [margins[place] for place in frame.places]
        self.steps = frame.steps if steps is None else steps
        self._known: dict[tuple[int, int, int, int], int] = {}

    def link(self, depth: int, taken: int) -> int:
        """The least weight of one more link from the location at this depth."""
        margins = self.margins[depth]
        return margins[taken] if taken < len(margins) else margins[-1]

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
        taken = 0 if frame.fresh[depth] else min(taken, len(self.margins[depth]) - 1)
        key = (depth, taken, min(room, left), counts)
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._work_out(*key)
        return known

    def _work_out(self, depth: int, taken: int, room: int, counts: int) -> int:
        frame = self.frame
        best = IMPOSSIBLE
        link = self.link(depth, taken)
        for weight, kind, spread, counted in self.steps[depth]:
            if weight >= best:
                break
            after = frame.advance(counts, counted) if counted else counts
            if after < 0:
                continue
            total = weight + (link if kind else 0)
            total += self.rest(depth + 1, taken + (kind == LEAF), room + spread, after)
            best = min(best, total)
        return best
