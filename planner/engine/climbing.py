"""Climbing to prices at which a bound is high: each goes up by what was taken too much of it.

Figures with a point are used only while prices are looked for. The bound at given prices is
exact, so they decide how fast a search is and never what it finds.
"""

from collections.abc import Callable, Sequence

_ROUNDS = 80
_PATIENCE = 4
_LEAST_PACE = 0.02

At = Callable[[list[float]], tuple[float, list[float]]]


def climb(at: At, start: Sequence[float], goal: float | None) -> tuple[float, list[float]]:
    """The highest value found and its prices, none below 0 (Polyak's steps along a subgradient).

    `at` gives the value at some prices and how much too much of each thing was taken there.
    Ends at `goal`; without one it aims a little above the best so far.
    """
    prices, pace, waited = list(start), 1.0, 0
    best, kept = float("-inf"), prices
    for _ in range(_ROUNDS):
        value, short = at(prices)
        waited += 1
        if value > best:
            best, kept, waited = value, prices, 0
        elif waited > _PATIENCE:
            pace, waited = pace / 2, 0
        length = sum(x * x for x in short)
        if not length or pace < _LEAST_PACE or (goal is not None and best >= goal):
            break
        aim = best + abs(best) / 20 + 1 if goal is None else goal
        step = pace * (aim - value) / length
        prices = [max(0.0, p + step * x) for p, x in zip(prices, short, strict=True)]
    return best, kept
