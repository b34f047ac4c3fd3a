"""Checks of a plan: what the wire, the fuse, the bank, the backbone and the place must hold.

`run_checks` judges plain facts and gives findings, worst first; `take` changes the facts as a
remedy does, so that what it cures can be judged anew. An estimate, not a survey: local codes, the
maker's manual and a licensed or certified person decide.
"""

from planner.engine.checks.facts import CheckFacts
from planner.engine.checks.finding import (
    STATE_WORDS,
    STATES,
    Finding,
    Measurement,
    Need,
    Remedy,
    worst_of,
)
from planner.engine.checks.kit import SparePorts, kit_of
from planner.engine.checks.running import measures_of, run_checks, smallest, take, take_all

__all__ = [
    "STATES",
    "STATE_WORDS",
    "CheckFacts",
    "Finding",
    "Measurement",
    "Need",
    "Remedy",
    "SparePorts",
    "kit_of",
    "measures_of",
    "run_checks",
    "smallest",
    "take",
    "take_all",
    "worst_of",
]
