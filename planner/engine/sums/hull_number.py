"""The hull identification number, as 33 CFR 181.25 lays it down.

Twelve characters: maker code (3), serial (5, without I, O and Q), month of certification or
manufacture (A January to L December), last figure of that year, model year (2).
"""

from typing import Any

from planner.engine.sums.inputs import read_text
from planner.engine.sums.results import SumResult

LENGTH = 12
MONTH_LETTERS = "ABCDEFGHIJKL"
MONTH_NAMES = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
NOT_IN_SERIALS = "IOQ"
FIGURES = "0123456789"
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_FIRST_YEAR = 1972
"""Hull numbers began with boats of November 1972: a model year under 72 is of this century."""
_USUAL_GAP_YEARS = 2


def read_hull_number(*, text: Any) -> SumResult:
    """Read a hull number: `valid`, `faults` in words, `as_stored` (capitals, no blanks).

    `built_month` is 1 to 12, `built_year` the year ending in the tenth place that lies nearest
    the model year, `model_year` the two figures as a number; each null where it cannot be read.
    """
    stored = "".join(read_text("text", text).split()).upper()
    faults = _faults(stored)
    month, built_year, model_year = _dates(stored) if len(stored) == LENGTH else (None, None, None)
    return SumResult(
        values={
            "valid": not faults,
            "faults": faults,
            "as_stored": stored,
            "built_month": month,
            "built_year": built_year,
            "model_year": model_year,
        },
        formula="3 maker code, 5 serial without I, O, Q, month A to L, year's last figure, 2 model "
        "year",
        source="33 CFR 181.25",
        inputs={"text": text},
        notes=(*_notes(built_year, model_year), *_OTHER_FORMS),
    )


_OTHER_FORMS = (
    "Boats before August 1984 and of other countries carry other forms (14 characters with a "
    "country prefix, ISO 10087; from memory): look at the plate, do not refuse the boat.",
    "Keep a photograph of the plate.",
)


def _faults(stored: str) -> list[str]:
    if len(stored) != LENGTH:
        odd = "" if _only(stored, LETTERS + FIGURES) else " A hyphen or other sign stands in it."
        return [f"It has {len(stored)} characters; the form has {LENGTH}.{odd}"]
    return [*_code_faults(stored), *_date_faults(stored)]


def _code_faults(stored: str) -> list[str]:
    faults = []
    maker, serial = stored[:3], stored[3:8]
    if not _only(maker, LETTERS + FIGURES):
        faults.append(f"The maker's code, places 1 to 3, is letters and figures, not “{maker}”.")
    faults += [
        f"The serial, places 4 to 8, never has {barred}: place {place} is read for a figure."
        for place, barred in enumerate(serial, 4)
        if barred in NOT_IN_SERIALS
    ]
    if not _only(serial, LETTERS + FIGURES):
        faults.append(f"The serial, places 4 to 8, is letters and figures, not “{serial}”.")
    return faults


def _date_faults(stored: str) -> list[str]:
    faults = []
    if stored[8] not in MONTH_LETTERS:
        faults.append(f"The month, place 9, is a letter from A to L, not “{stored[8]}”.")
    if stored[9] not in FIGURES:
        faults.append(f"The year of build, place 10, is a figure, not “{stored[9]}”.")
    if not _only(stored[10:], FIGURES):
        faults.append(f"The model year, places 11 and 12, is two figures, not “{stored[10:]}”.")
    return faults


def _dates(stored: str) -> tuple[int | None, int | None, int | None]:
    month = MONTH_LETTERS.find(stored[8]) + 1 or None
    model_year = int(stored[10:]) if _only(stored[10:], FIGURES) else None
    if model_year is None or stored[9] not in FIGURES:
        return month, None, model_year
    return month, _built_year(int(stored[9]), _whole_year(model_year)), model_year


def _whole_year(model_year: int) -> int:
    first = _FIRST_YEAR % 100
    return model_year + (1900 if model_year >= first else 2000)


def _built_year(figure: int, model_year: int) -> int:
    """The year ending in the figure, from eight years before the model year to one after."""
    last = model_year + 1
    return last - (last - figure) % 10


def _notes(built_year: int | None, model_year: int | None) -> tuple[str, ...]:
    if built_year is None or model_year is None:
        return ()
    apart = abs(built_year - _whole_year(model_year))
    if apart < _USUAL_GAP_YEARS:
        return ()
    return (f"Built {built_year}, model year {_whole_year(model_year)}: read the plate again.",)


def _only(text: str, allowed: str) -> bool:
    return all(sign in allowed for sign in text)
