"""Evidence marks: how a value is known, by whom, since when, how sure; soft when it is old."""

from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime

from django.db.models import Q
from django.utils import timezone

from shopapp.boats.facts import is_soft, kind_of, subject_of
from shopapp.boats.models import Boat, Evidence
from shopapp.boats.services.ends import end_words
from shopapp.ui.templatetags.ui import amps, day, feet

SHORT = {
    "bus": "read",
    "seen": "seen",
    "photo": "photo",
    "job": "job",
    "supplier": "supplier",
    "customer": "customer",
    "assumed": "assumed",
}
GUESSES = {"customer", "assumed"}
Key = tuple[str, int, str]


@dataclass(frozen=True)
class Mark:
    """What stands beside a value; `tone` is firm, guess or soft."""

    how: str
    how_words: str
    who: str
    seen_at: datetime
    sureness: str
    soft: bool
    job_number: str = ""
    note: str = ""
    value: str = ""

    @property
    def tone(self) -> str:
        """Soft before guess before firm."""
        if self.soft:
            return "soft"
        return "guess" if self.how in GUESSES or self.sureness == "rough guess" else "firm"

    @property
    def short(self) -> str:
        """The mark in a few words."""
        words = f"{SHORT[self.how]} {day(self.seen_at)}"
        return f"{words}, old: look again" if self.soft else words

    @property
    def whole(self) -> str:
        """The mark in full."""
        job = f", job {self.job_number}" if self.job_number else ""
        note = f": {self.note}" if self.note else ""
        return f"{self.how_words}{job}, {self.who}, {day(self.seen_at)}, {self.sureness}{note}"

    @property
    def same(self) -> tuple:
        """What two marks share that say the same."""
        return (self.how, self.who, day(self.seen_at), self.sureness, self.soft, self.job_number)


@dataclass
class Cell:
    """A value with its label, its mark (None: nobody said how it is known) and its disputes."""

    label: str
    text: str
    mark: Mark | None = None
    disputes: list[Evidence] = field(default_factory=list)
    fact: str = ""
    quiet: bool = False

    @property
    def known(self) -> bool:
        """Whether there is a value at all."""
        return self.text != ""


@dataclass
class Marks:
    """All marks and disputes of a boat, by kind, number and fact."""

    by: dict[Key, Mark]
    disputes: dict[Key, list[Evidence]]

    def cell(self, slot: str, number: int, fact: str, text: str) -> Cell:
        """A value with what is known of it."""
        key = (slot, number, fact)
        label = kind_of(slot, fact).label
        return Cell(label, text, self.by.get(key), self.disputes.get(key, []), fact)

    @property
    def disputed(self) -> list[Evidence]:
        """All disputes of the boat."""
        return [row for rows in self.disputes.values() for row in rows]


def load_marks(boat: Boat, *, unit: int | None = None) -> Marks:
    """The marks that hold and the disputes, in one query; of one unit only where asked."""
    rows = boat.evidence.filter(standing__in=["holds", "disputed"]).select_related("by")
    if unit is not None:
        rows = rows.filter(Q(unit=unit))
    now = timezone.now()
    marks = Marks({}, {})
    for row in rows.order_by("seen_at", "pk"):
        slot, number = subject_of(row)
        key = (slot, number, row.fact)
        if row.standing == Evidence.Standing.DISPUTED:
            marks.disputes.setdefault(key, []).append(row)
        else:
            marks.by[key] = mark_of(row, now=now)
    return marks


def mark_of(row: Evidence, *, now: datetime) -> Mark:
    """One evidence row as a mark."""
    slot, _ = subject_of(row)
    return Mark(
        how=row.how,
        how_words=row.get_how_display(),
        who=str(row.by) if row.by else "nobody named",
        seen_at=row.seen_at,
        sureness=row.get_sureness_display(),
        soft=is_soft(slot=slot, fact=row.fact, seen_at=row.seen_at, now=now),
        job_number=row.job_number,
        note=row.note,
        value=value_words(row.fact, row.value),
    )


def main_mark(cells: list[Cell]) -> Mark | None:
    """The mark that most values of a row share, to be shown once; those cells go quiet."""
    marks = [cell.mark for cell in cells if cell.known and cell.mark and not cell.mark.soft]
    if not marks:
        return None
    most = Counter(mark.same for mark in marks).most_common(1)[0][0]
    for cell in cells:
        cell.quiet = cell.mark is not None and cell.mark.same == most
    return next(mark for mark in marks if mark.same == most)


def value_words(fact: str, value: str) -> str:
    """An evidence row's value as a person reads it."""
    if not value:
        return "not known"
    if fact in {"end_a", "end_b"}:
        return end_words(value)
    if fact.endswith("_ma"):
        return amps(int(value))
    if fact.endswith("_mv"):
        return f"{int(value) / 1000:g} V"
    if fact == "feet" or fact.endswith("_ft"):
        return feet(value)
    return value
