"""How many conductor sums a second one process works out, all checks of the inputs included.

Run with `make bench`, or alone: `python -m tests.bench.bench_sums`.
"""

import time

from planner.engine.sums import run_sum

COUNT = 20_000
WANTED_A_SECOND = 10_000


def circuits(count: int) -> list[dict[str, object]]:
    """Circuits of all kinds, none twice in a row."""
    return [
        {
            "amps": 0.5 + index % 300,
            "round_trip_ft": 2 + index % 170,
            "volts": (12, 24, 36, 48)[index % 4],
            "drop_percent": (3, 10)[index % 2],
            "areas": ("awg", "sae")[index // 2 % 2],
            "engine_space": index % 3 == 0,
            "bundled": 1 + index % 30,
        }
        for index in range(count)
    ]


def measure() -> float:
    """Sums a second of processor time."""
    given = circuits(COUNT)
    start = time.process_time()
    for circuit in given:
        run_sum("conductor", circuit).as_dict()
    return COUNT / (time.process_time() - start)


def test_ten_thousand_conductor_sums_a_second() -> None:
    rate = measure()
    print(f"{rate:,.0f} conductor sums a second (wanted {WANTED_A_SECOND:,})")
    assert rate >= WANTED_A_SECOND


if __name__ == "__main__":
    test_ten_thousand_conductor_sums_a_second()
