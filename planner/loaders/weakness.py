"""Which facts of a unit rest on weak or old evidence."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from shopapp.boats.facts import kind_of
from shopapp.boats.models import Evidence, How, Sureness

WATCHED = {
    "model": "model",
    "release": "release",
    "networked": "on the network",
    "location": "location",
}
MUST_BE_NOTED = ("model", "release")
TOLD = {How.CUSTOMER, How.ASSUMED, How.SUPPLIER}


@dataclass(frozen=True)
class Weak:
    """One fact, in words, and why it is weak; `told` means that nobody of the shop saw it."""

    fact: str
    words: str
    why: str
    told: bool


def weak_facts(*, rows: Iterable[Evidence], has_release: bool, today: date) -> list[Weak]:
    """The weak ones among a unit's facts; what is missing altogether is told elsewhere."""
    newest: dict[str, Evidence] = {}
    for row in sorted(rows, key=lambda row: (row.seen_at, row.pk)):
        if row.standing == Evidence.Standing.HOLDS:
            newest[row.fact] = row
    found = []
    for fact, words in WATCHED.items():
        if fact == "release" and not has_release:
            continue
        weak = _weakness(fact, words, newest.get(fact), today)
        if weak:
            found.append(weak)
    return found


def _weakness(fact: str, words: str, row: Evidence | None, today: date) -> Weak | None:
    if row is None:
        if fact in MUST_BE_NOTED:
            return Weak(fact, words, "how it is known was not noted", told=False)
        return None
    if row.how in TOLD:
        return Weak(fact, words, row.get_how_display(), told=True)
    if row.sureness == Sureness.LOW:
        return Weak(fact, words, "a rough guess", told=True)
    days = (today - row.seen_at.date()).days
    limit = kind_of("unit", fact).days
    if limit is not None and days > limit:
        return Weak(fact, words, f"seen {_ago(days)}", told=False)
    return None


def _ago(days: int) -> str:
    if days < 730:
        return f"{days} days ago"
    return f"{days // 365} years ago"
