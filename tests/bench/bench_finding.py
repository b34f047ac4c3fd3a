"""How long the fault finder takes for a boat of 20 units behind 5 switches, from JSON to JSON.

Run with `make bench`, or alone: `python -m tests.bench.bench_finding`.
"""

import time

from planner.engine.finding import find_faults, read_network
from planner.engine.finding.finder import Finder
from tests.engine.finding.networks import random_network

WANTED_MS = 200
BOATS = 20


def boats() -> list[dict]:
    """Boats of 20 units, 5 of them switches, most with a backbone."""
    found, seed = [], 0
    while len(found) < BOATS:
        given = random_network(seed, most_units=15, switches=5)
        if len(given["units"]) == 20:
            found.append(given)
        seed += 1
    return found


def measure() -> dict[str, float]:
    """Worst milliseconds: from what the first fault shows, two at once, and what nothing fits."""
    worst = {"one": 0.0, "pair": 0.0, "nothing": 0.0}
    for given in boats():
        finder = Finder(read_network(given))
        for name, causes in (
            ("one", finder.causes[:1]),
            ("pair", (finder.causes[0], finder.causes[40])),
        ):
            shown = finder.show(causes)
            seen = {
                key: value for key, value in shown.items() if value and finder.looks[key].at_first
            }
            worst[name] = max(worst[name], _took(given, seen))
        healthy = {key: value for key, value in finder.healthy.items() if value}
        worst["nothing"] = max(
            worst["nothing"], _took(given, healthy | {"slow": "yes", "seen:u3": "no"})
        )
    return worst


def _took(given: dict, seen: dict) -> float:
    start = time.process_time()
    find_faults(given, seen)
    return (time.process_time() - start) * 1000


def test_the_fault_finder_answers_within_200_ms() -> None:
    worst = measure()
    print(", ".join(f"{name}: {took:.0f} ms" for name, took in worst.items()))
    assert max(worst.values()) < WANTED_MS


if __name__ == "__main__":
    test_the_fault_finder_answers_within_200_ms()
