"""The engine against one whole-problem CP-SAT model: the same values, and how much faster.

Run with `make bench`, or alone: `python -m tests.bench.bench_planner [--large]`.
"""

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from functools import partial
from typing import Any

from planner.engine import answer_case
from tests.bench.trade_cases import trade_case
from tests.engine.test_cases import NAMES, ORDER, load
from tests.engine.worlds import random_case

JsonDict = dict[str, Any]
WANTED_RATIO = 5
WANTED_LARGE_SECONDS = 2
WANTED_IMPORT_SECONDS = 0.15


def values_of(answer: JsonDict) -> JsonDict:
    """The values of the engine's answer in the model's form."""
    if not answer["feasible"]:
        return {"feasible": False, "relaxations": answer["relaxations"]}
    strategies = {
        name: plan and tuple(plan[field] for field in ORDER[name])
        for name, plan in answer["strategies"].items()
    }
    totals = [plan["total_cents"] for plan in answer["options"]]
    return {"feasible": True, "strategies": strategies, "options": totals}


def timed(work: Callable[[], JsonDict], times: int = 1) -> tuple[JsonDict, float]:
    """What it gives, and the best of so many wall times in seconds."""
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        found = work()
        spent.append(time.perf_counter() - start)
    return found, min(spent)


def compare(name: str, case: JsonDict) -> tuple[float, float]:
    """Answer both ways, insist on the same values, print a line, give both times."""
    from tests.bench.whole_model import model_answer  # noqa: PLC0415 -- needs ortools

    answer, engine = timed(lambda: answer_case(case), times=3)
    other, model = timed(lambda: model_answer(case))
    other.pop("conflict", None)
    assert values_of(answer) == other, name
    word = "feasible" if answer["feasible"] else "refused"
    print(f"| {name} | {word} | {engine * 1000:.1f} | {model * 1000:.0f} | {model / engine:.0f} |")
    return engine, model


def compare_all(names: list[str], cases: Callable[[str], JsonDict]) -> list[tuple[float, float]]:
    """A table over many cases with its median and sum."""
    print("| case | answer | engine ms | model ms | times as fast |")
    print("| --- | --- | ---: | ---: | ---: |")
    pairs = [compare(name, cases(name)) for name in names]
    ratios = [model / engine for engine, model in pairs]
    engine_sum, model_sum = (sum(column) for column in zip(*pairs, strict=True))
    print(
        f"median {statistics.median(ratios):.0f} times, in sum {model_sum / engine_sum:.0f} times"
    )
    return pairs


def _kept(start: str) -> list[str]:
    return [name for name in NAMES if name.startswith(start)]


def test_medium_cases() -> None:
    pairs = compare_all(_kept("medium"), lambda name: load(name)[0])
    assert statistics.median(model / engine for engine, model in pairs) >= WANTED_RATIO
    assert sum(model for _, model in pairs) >= WANTED_RATIO * sum(engine for engine, _ in pairs)


def test_generated_cases() -> None:
    def made(name: str) -> JsonDict:
        return random_case(int(name), units=9, switches=2, adds=3, locations=6, models=8, max_new=2)

    pairs = compare_all([str(seed) for seed in range(12)], made)
    assert statistics.median(model / engine for engine, model in pairs) >= WANTED_RATIO


def test_large_cases() -> None:
    pairs = compare_all(_kept("large"), lambda name: load(name)[0])
    assert max(engine for engine, _ in pairs) <= WANTED_LARGE_SECONDS
    assert statistics.median(model / engine for engine, model in pairs) >= WANTED_RATIO


def test_large_boats_at_work() -> None:
    """Processor time of whole answers for boats of 19 units and 22, and with units that bridge."""
    print("| units | switches | bridging | median ms | nine in ten ms | worst ms | over 2 s |")
    print("| ---: | ---: | ---: | ---: | ---: | ---: | ---: |")
    for units, switches, bridging in ((13, 3, 0), (16, 3, 0), (18, 4, 0), (16, 3, 0.15)):
        spent = []
        for seed in range(40):
            case = trade_case(seed, units=units, switches=switches, bridging=bridging)
            start = time.process_time()
            answer_case(case)
            spent.append((time.process_time() - start) * 1000)
        spent.sort()
        over = sum(one > WANTED_LARGE_SECONDS * 1000 for one in spent)
        told = f"{spent[20]:.0f} | {spent[35]:.0f} | {spent[-1]:.0f} | {over} of {len(spent)}"
        print(f"| {units} | {switches} | {bridging:.0%} | {told} |", flush=True)


def grown(units: int, switches: int, places: int) -> list[float]:
    """Milliseconds for cases of one size, fewest first."""
    spent = []
    for seed in range(6):
        case = random_case(
            seed,
            units=units,
            switches=switches,
            adds=1,
            locations=places,
            models=8,
            max_new=switches,
            requests=0,
            exact=True,
        )
        spent.append(timed(lambda case=case: answer_case(case))[1] * 1000)  # type: ignore[misc]
    return sorted(spent)


def bar(milliseconds: float) -> str:
    """A bar of the plot, one sign for each 5 ms, at most 60."""
    return "█" * min(60, max(1, round(milliseconds / 5)))


def test_growth() -> None:
    """Plots the median time against units, then switches, then places."""
    print("| units | switches | places | median ms | worst ms | |")
    print("| ---: | ---: | ---: | ---: | ---: | :-- |")
    sizes = [(n, 2, 5) for n in (4, 8, 12, 16, 20)]
    sizes += [(10, n, 5) for n in (0, 1, 3)] + [(10, 2, n) for n in (2, 8, 10)]
    for size in sizes:
        spent = grown(*size)
        print("| {} | {} | {} |".format(*size), end="")
        median = statistics.median(spent)
        print(f" {median:.1f} | {spent[-1]:.1f} | {bar(median)} |")


def test_import_is_quick() -> None:
    """All that an answer needs, from bytecode (`make` writes it): the engine loads by name."""
    code = (
        "import time; t = time.process_time(); from planner.engine import answer_case, check_case;"
        "print(time.process_time() - t)"
    )
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    run = partial(subprocess.run, [sys.executable, "-c", code], env=environment)
    spent = min(float(run(capture_output=True, check=True).stdout) for _ in range(4))
    print(f"import of the engine: {spent * 1000:.0f} ms of processor time")
    assert spent < WANTED_IMPORT_SECONDS


if __name__ == "__main__":
    test_import_is_quick()
    test_medium_cases()
    test_generated_cases()
    test_growth()
    test_large_boats_at_work()
    if "--large" in sys.argv:
        test_large_cases()
