"""The hull identification number, read as 33 CFR 181.25 lays it down.

Twelve characters: maker code (3), serial (5, without the letters I, O and Q), month of
certification or manufacture (A January to L December), last figure of the year, model
year (2). Older and foreign forms exist, so a reading warns and never refuses.
"""

from dataclasses import dataclass

LENGTH = 12
MONTHS = "ABCDEFGHIJKL"
MONTH_NAMES = [
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
]  # fmt: skip
NOT_IN_SERIALS = "IOQ"
FIGURES = "0123456789"
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class HullNumber:
    """A hull number as read.

    `text` is upper case without blanks; `faults` are sentences, none for a number of
    the form; `month` is 1 to 12, `year_figure` 0 to 9 and `model_year` 0 to 99, each
    None where its place cannot be read.
    """

    text: str
    faults: tuple[str, ...] = ()
    month: int | None = None
    year_figure: int | None = None
    model_year: int | None = None

    @property
    def built(self) -> str:
        """Month and year figure in words, "" where they cannot be read."""
        if self.month is None or self.year_figure is None:
            return ""
        return f"{MONTH_NAMES[self.month - 1]} of a year ending in {self.year_figure}"


def read_hull_number(text: str) -> HullNumber:
    """Read a hull number; blanks go, letters become capitals."""
    plain = "".join(text.split()).upper()
    if not plain:
        return HullNumber("")
    if len(plain) != LENGTH:
        return HullNumber(plain, (_length_fault(plain),))
    month = MONTHS.find(plain[8]) + 1 or None
    year_figure = int(plain[9]) if plain[9] in FIGURES else None
    model_year = int(plain[10:]) if _only(plain[10:], FIGURES) else None
    return HullNumber(plain, tuple(_faults(plain)), month, year_figure, model_year)


def _length_fault(plain: str) -> str:
    odd = " A hyphen or other sign stands in it." if not _only(plain, LETTERS + FIGURES) else ""
    return f"It has {len(plain)} characters; the form since 1972 has {LENGTH}.{odd}"


def _only(text: str, allowed: str) -> bool:
    return all(sign in allowed for sign in text)


def _faults(plain: str) -> list[str]:
    faults = []
    if not _only(plain[:3], LETTERS + FIGURES):
        faults.append(
            f"The maker's code, places 1 to 3, is letters and figures, not “{plain[:3]}”."
        )
    serial = plain[3:8]
    barred = [sign for sign in serial if sign in NOT_IN_SERIALS]
    if barred:
        faults.append(f"The serial, places 4 to 8, never has {barred[0]}: it is read for a figure.")
    if not _only(serial, LETTERS + FIGURES):
        faults.append(f"The serial, places 4 to 8, is letters and figures, not “{serial}”.")
    if plain[8] not in MONTHS:
        faults.append(f"The month, place 9, is a letter from A to L, not “{plain[8]}”.")
    if plain[9] not in FIGURES:
        faults.append(f"The year of build, place 10, is a figure, not “{plain[9]}”.")
    if not _only(plain[10:], FIGURES):
        faults.append(f"The model year, places 11 and 12, is two figures, not “{plain[10:]}”.")
    return faults
