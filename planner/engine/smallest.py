"""The smallest set of statements, requests and limits that no plan meets: proven by hitting sets.

Whatever a plan gives up meets (hits) every set that forbids; so a smallest set that hits all
that the plans seen so far give up is a lower bound, and once no plan keeps it, the answer.
"""

from itertools import count

from planner.engine.conflict import Doubt

Ids = frozenset[str]


def smallest_conflict(doubt: Doubt, *, most_asked: int | None = None) -> Ids | None:
    """A set of the fewest ids that no plan keeps together; some set of all ids must be one.

    None where the doubt would have to ask more than `most_asked` questions.
    """
    given_up: list[Ids] = []
    while most_asked is None or doubt.asked <= most_asked:
        guess = smallest_hitting(given_up)
        kept = doubt.kept_with(guess)
        if kept is None:
            return guess
        given_up.append(doubt.every - _grown(doubt, kept))
    return None


def _grown(doubt: Doubt, kept: Ids) -> Ids:
    """As much as some plan keeps beyond what is kept already."""
    for name in sorted(doubt.every - kept):
        kept = doubt.kept_with(kept | {name}) or kept
    return kept


def smallest_hitting(sets: list[Ids]) -> Ids:
    """The first of the smallest sets that share an id with each of these."""
    for size in count():
        found = _hit(sorted(sets, key=lambda one: (len(one), sorted(one))), size)
        if found is not None:
            return found
    raise AssertionError("counting never ends")


def _hit(sets: list[Ids], size: int) -> Ids | None:
    if not sets:
        return frozenset()
    if size == 0:
        return None
    for name in sorted(sets[0]):
        found = _hit([one for one in sets if name not in one], size - 1)
        if found is not None:
            return found | {name}
    return None
