"""Which firmware releases a unit can reach, and the way there with the fewest minutes."""

import heapq
from dataclasses import dataclass

from planner.engine.facts import Model, Update


@dataclass(frozen=True, slots=True)
class Way:
    """A way to a release: its single steps in order and the minutes they take together."""

    minutes: int
    steps: tuple[Update, ...]


def ways_from(model: Model, start: str | None) -> dict[str | None, Way]:
    """Map every release that can be reached from `start` to the quickest way there.

    A model without firmware stands at None and stays there. Of two ways that take the same
    minutes the one with fewer steps is taken, then the one first by name.
    """
    if start is None:
        return {None: Way(0, ())}
    found: dict[str | None, Way] = {}
    waiting: list[tuple[int, int, tuple[str, ...], str, tuple[Update, ...]]] = [
        (0, 0, (), start, ())
    ]
    while waiting:
        minutes, count, names, release, steps = heapq.heappop(waiting)
        if release in found:
            continue
        found[release] = Way(minutes, steps)
        for update in model.updates:
            if update.start == release and update.end not in found:
                heapq.heappush(
                    waiting,
                    (
                        minutes + update.minutes,
                        count + 1,
                        (*names, update.end),
                        update.end,
                        (*steps, update),
                    ),
                )
    return {release: found[release] for release in (*model.releases,) if release in found}
