"""The published tables beside these tests, read row by row."""

import csv
from pathlib import Path

from planner.engine.sums import SumFault, run_sum

FOLDER = Path(__file__).parent / "tables"


def rows_of(name):
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def value(name, key, **given):
    return run_sum(name, given).values[key]


def notes(name, **given):
    return " ".join(run_sum(name, given).notes)


def field_refused(name, **given):
    """The field that a sum refuses; None where it answers."""
    try:
        run_sum(name, given)
    except SumFault as fault:
        return fault.field
    return None
