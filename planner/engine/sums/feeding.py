"""A fuse block and the cut-off before it: what hangs on them against what they carry.

The checks of a plan ask the same two rules: `judge_holder` and `HOLDER_FORMULA`.
"""

from typing import Any

from planner.engine.sums import words
from planner.engine.sums.conductor import MOST_AMPS
from planner.engine.sums.faults import refuse
from planner.engine.sums.inputs import read_number, read_rows
from planner.engine.sums.results import SumResult

MOST_CIRCUITS = 60
FULL = 0.8
"""Continuous load up to four fifths of a block or cut-off: common practice, no source."""
_HAIR = 1e-9
HOLDER_FORMULA = "Σ amps of all on it ≤ its rating; from 80 % of it a second look"
HOLDER_SOURCE = "ratings as marked by the makers; 80 %: common practice, no source"
_WORDS = {
    "good": "{what} carries it: {total:g} A of {rating:g} A.",
    "look": "{what} is loaded beyond 80 %: {total:g} A of {rating:g} A.",
    "stop": "{what} is overloaded: {total:g} A, rated {rating:g} A.",
}


def judge_holder(total_amps: float, rating_amps: float | None) -> str:
    """What a rating makes of a continuous load: good, look, stop, or unknown without a rating."""
    if rating_amps is None:
        return "unknown"
    if total_amps > rating_amps + _HAIR:
        return "stop"
    return "look" if total_amps > rating_amps * FULL + _HAIR else "good"


def find_fuse_block(
    *, loads_amps: Any, block_amps: Any, circuit_amps: Any, cutoff_amps: Any = None
) -> SumResult:
    """What all circuits of a block draw at once, against the block, its ways and the cut-off.

    `loads_amps` lists the continuous amperes of each circuit; `circuit_amps` is the most that one
    way may carry. `fits` is null where the cut-off is not known, false where anything is over.
    `verdict` is the worst of block, ways and cut-off.
    """
    loads = _read_loads(loads_amps)
    block = read_number("block_amps", block_amps, most=MOST_AMPS, unit="A")
    way = read_number("circuit_amps", circuit_amps, most=MOST_AMPS, unit="A")
    cutoff = None
    if cutoff_amps is not None:
        cutoff = read_number("cutoff_amps", cutoff_amps, most=MOST_AMPS, unit="A")
    total = sum(loads)
    over = [place for place, load in enumerate(loads, 1) if load > way]
    limits = [block] if cutoff is None else [block, cutoff]
    fits = total <= min(limits) + _HAIR and not over
    verdict, why = _judge(total, over, block, cutoff)
    return SumResult(
        values={
            "verdict": verdict,
            "why": why,
            "total_amps": total,
            "circuits_over": over,
            "fits": None if fits and cutoff is None else fits,
        },
        formula=f"{HOLDER_FORMULA}: block and cut-off alike; each circuit ≤ the rating of its way",
        source=HOLDER_SOURCE,
        inputs={
            "loads_amps": loads,
            "block_amps": block,
            "circuit_amps": way,
            "cutoff_amps": cutoff,
        },
        notes=_notes(over, cutoff),
        margin={
            "block_amps": block - total,
            "circuit_amps": way - max(loads),
            "cutoff_amps": None if cutoff is None else cutoff - total,
        },
    )


def _judge(total: float, over: list[int], block: float, cutoff: float | None) -> tuple[str, str]:
    """The worst of the three, with what it is about; not known is worse than a second look."""
    told = []
    if over:
        named = ", ".join(str(place) for place in over)
        told.append(("stop", f"Over the rating of one way: circuit {named}."))
    for what, rating in (("The block", block), ("The cut-off", cutoff)):
        state = judge_holder(total, rating)
        words_of = _WORDS.get(state, "{what}'s rating is not known.")
        told.append((state, words_of.format(what=what, total=total, rating=rating)))
    worst = max((state for state, _ in told), key=("good", "look", "unknown", "stop").index)
    return worst, " ".join(said for state, said in told if state == worst)


def _read_loads(value: Any) -> list[float]:
    rows = read_rows("loads_amps", value)
    if not rows:
        refuse("loads_amps", "The list is empty: name the amperes of each circuit.")
    if len(rows) > MOST_CIRCUITS:
        refuse("loads_amps", f"{len(rows)} circuits; at most {MOST_CIRCUITS} are taken.")
    return [
        read_number(f"loads_amps[{place}]", row, most=MOST_AMPS, unit="A")
        for place, row in enumerate(rows)
    ]


def _notes(over: list[int], cutoff: float | None) -> tuple[str, ...]:
    notes = []
    if over:
        named = ", ".join(str(place) for place in over)
        notes.append(f"Over the rating of one way: circuit {named}. Give it a feed of its own.")
    if cutoff is None:
        notes.append(
            "The cut-off's rating is not known: read its continuous rating from the switch itself."
        )
    return (
        *notes,
        "All circuits are taken to draw at once. Count a unit's largest draw, not its typical one.",
        "The conductor that feeds the block, and its fuse, must be sized for the block too.",
        words.ESTIMATE,
    )
