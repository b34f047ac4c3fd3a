"""How the demo's values are known: one survey for each boat, and what came after it."""

from collections.abc import Iterable, Iterator
from datetime import UTC, datetime, time, timedelta
from random import Random

from shopapp.boats.facts import KINDS, SLOTS, Subject, text_of
from shopapp.boats.models import Bank, Boat, Cable, Evidence, Location, Route, Unit
from shopapp.demo.reading import Catalogue, Plans, save_all

# Beyond this many boats only model and release of units keep their evidence.
FULL_UP_TO = 2000
KEPT_BEYOND = ("model", "release")
SURVEY_DAYS = (12, 30, 55, 75, 140, 260, 520, 800)
HOWS = ("seen", "bus", "photo", "job", "customer")
HOW_SHARES = (52, 22, 8, 12, 6)


def make_evidence(plans: Plans, catalogue: Catalogue, random: Random) -> None:
    """Evidence of every value aboard that is known, some old, some only said."""
    boats = {boat.pk: boat for boat, _plan in plans}
    surveys = {pk: survey_time(catalogue, random) for pk in boats}
    full = catalogue.full_evidence
    rows = []
    for subject in subjects(boats, full=full):
        boat_id = boat_of(subject)
        facts = KINDS[SLOTS[type(subject)]] if full else KEPT_BEYOND
        rows += evidence_of(subject, facts, surveys[boat_id], catalogue, random)
    save_all(Evidence, rows)


def survey_time(catalogue: Catalogue, random: Random) -> datetime:
    """When the boat was surveyed."""
    day = catalogue.today - timedelta(days=random.choice(SURVEY_DAYS))
    return datetime.combine(day, time(15), UTC)


def subjects(boats: dict[int, Boat], *, full: bool) -> Iterator[Subject]:
    """All that carries evidence aboard these boats."""
    yield from (
        Unit.objects.filter(boat__in=boats)
        .select_related("model", "release", "location", "bank")
        .order_by("pk")
    )
    if not full:
        return
    yield from boats.values()
    for kind in (Bank, Route, Location):
        yield from kind.objects.filter(boat__in=boats).order_by("pk")
    cables = Cable.objects.filter(boat__in=boats).select_related("part").order_by("pk")
    yield from cables.prefetch_related("ends__unit")


def boat_of(subject: Subject) -> int:
    """The number of the boat that the subject is, or lies aboard of."""
    return subject.pk if isinstance(subject, Boat) else subject.boat_id


def evidence_of(
    subject: Subject,
    facts: Iterable[str],
    surveyed: datetime,
    catalogue: Catalogue,
    random: Random,
) -> Iterator[Evidence]:
    """A row for each known value, all from the survey but for one in five units."""
    slot = SLOTS[type(subject)]
    how = random.choices(HOWS, HOW_SHARES)[0] if slot == "unit" else "seen"
    for fact in facts:
        value = value_of(subject, fact)
        if not value or (slot == "location" and fact == "room_note"):
            continue
        if slot == "route":
            how = "seen" if subject.sureness == "high" else "assumed"
        yield Evidence(
            boat_id=boat_of(subject),
            fact=fact,
            value=value,
            how=how,
            sureness=sureness(subject, how),
            seen_at=surveyed,
            noted_at=surveyed,
            by=catalogue.by,
            **({} if slot == "boat" else {slot: subject}),
        )


def value_of(subject: Subject, fact: str) -> str:
    """The fact as evidence keeps it; a cable's end as `unit:port`."""
    if isinstance(subject, Cable) and fact in {"end_a", "end_b"}:
        end = next(end for end in subject.ends.all() if end.side == fact[-1])
        return f"{end.unit.name}:{end.port}"
    return text_of(getattr(subject, fact, None))


def sureness(subject: Subject, how: str) -> str:
    """A route says itself how sure its length is; a customer's word is a good guess."""
    if isinstance(subject, Route):
        return subject.sureness
    return "medium" if how == "customer" else "high"
