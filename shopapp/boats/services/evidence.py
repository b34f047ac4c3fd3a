"""Evidence: stated facts are added, weighed against what holds, and never overwritten unseen.

Strength: read from the unit or bus, seen aboard, photo, own past job, supplier, customer,
assumed (common practice, no source). A newer but weaker statement that differs does not
overwrite: it is kept as disputed until a person settles it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.boats.facts import (
    KINDS,
    Subject,
    is_soft,
    kind_of,
    slot_of,
    subject_of,
    text_of,
    write_fact,
)
from shopapp.boats.models import Boat, CableEnd, Evidence, Photo, Unit
from shopapp.boats.models.evidence import STRENGTH, How
from shopapp.boats.services.ends import move_end
from shopapp.boats.services.words import freshen
from shopapp.errors import FactRefused, MoveRefused

Standing = Evidence.Standing
Key = tuple[str, int, str]


@dataclass(frozen=True)
class Seen:
    """How a set of facts is known: how, by whom, when (UTC; None: now), how sure."""

    how: str
    by: User | None
    seen_at: datetime | None = None
    sureness: str = "high"
    job_number: str = ""
    photo: Photo | None = None
    note: str = ""


@dataclass(frozen=True)
class Stated:
    """One fact stated of one thing aboard; None or "" states that it is not known."""

    subject: Subject
    fact: str
    value: object


def record_fact(
    *,
    boat: Boat,
    subject: Subject,
    fact: str,
    value: object,
    how: str,
    by: User | None,
    seen_at: datetime | None = None,
    sureness: str = "high",
    job_number: str = "",
    photo: Photo | None = None,
    note: str = "",
) -> Evidence:
    """Note one fact with its evidence, and write it to the record where it holds.

    `standing` of the answer says what became of it: "holds"; "disputed" (differs from
    stronger evidence, the record keeps the stronger value); "old" (older than what is
    known). A release that the model never had is a FactRefused.
    """
    seen = Seen(how, by, seen_at, sureness, job_number, photo, note)
    return record_facts(boat=boat, facts=[Stated(subject, fact, value)], seen=seen)[0]


@transaction.atomic
def record_facts(*, boat: Boat, facts: Sequence[Stated], seen: Seen) -> list[Evidence]:
    """Note many facts known in the same way, at once; see `record_fact`."""
    check_seen(seen)
    lock_boat(boat)
    facts = sorted(facts, key=_order)
    holding = _holding(boat, facts)
    rows, beaten, touched = [], [], {}
    for stated in facts:
        row = _evidence(boat, stated, seen)
        before = holding.get(_key(stated))
        row.standing, fallen = weigh(before, row)
        if before is not None and fallen != before.standing:
            before.standing = fallen
            beaten.append(before)
        if row.standing == Standing.HOLDS:
            holding[_key(stated)] = row
            beaten += _void(stated, row, before, holding)
        _write(stated, row, holding, touched)
        rows.append(row)
    _save_subjects(touched.values())
    Evidence.objects.bulk_create(rows)
    Evidence.objects.bulk_update([row for row in beaten if row.pk], ["standing"])
    touch_boat(boat)
    return rows


def _void(stated: Stated, row: Evidence, before: Evidence | None, holding: dict) -> list[Evidence]:
    # Another model is another unit in that place: what was known of its release is void.
    slot, number, fact = _key(stated)
    if slot != "unit" or fact != "model" or before is None or before.value == row.value:
        return []
    release = holding.pop((slot, number, "release"), None)
    if release is None:
        return []
    release.standing = Standing.OLD
    return [release]


def check_seen(seen: Seen) -> None:
    """Refuse evidence of no known kind, or from the future."""
    if seen.how not in How.values:
        raise FactRefused(f"“{seen.how}” is no way to know a fact.", field="how")
    if seen.seen_at is not None and seen.seen_at > timezone.now() + timedelta(minutes=5):
        raise FactRefused("This time lies ahead.", field="seen_at", todo="Give the time seen.")


def lock_boat(boat: Boat) -> None:
    """Let one change of a boat's facts wait for the other, until the transaction ends."""
    Boat.objects.select_for_update().only("pk").get(pk=boat.pk)


def touch_boat(boat: Boat) -> None:
    """Say that what is known of the boat changed: open plans and quotes look again."""
    boat.facts_changed_at = timezone.now()
    Boat.objects.filter(pk=boat.pk).update(facts_changed_at=boat.facts_changed_at)


def weigh(before: Evidence | None, row: Evidence) -> tuple[str, str]:
    """The standings of a new row and of the one that held before it."""
    if before is None:
        return Standing.HOLDS, ""
    gain = STRENGTH[row.how] - STRENGTH[before.how]
    newer = row.seen_at >= before.seen_at
    if row.value == before.value:
        wins = (newer and (gain >= 0 or _soft(before))) or (gain > 0 and not _soft(row))
        return (Standing.HOLDS, Standing.OLD) if wins else (Standing.OLD, Standing.HOLDS)
    if gain > 0 and not newer:
        return Standing.HOLDS, Standing.DISPUTED
    if gain >= 0:
        return (Standing.HOLDS, Standing.OLD) if newer else (Standing.OLD, Standing.HOLDS)
    return (Standing.DISPUTED if newer else Standing.OLD), Standing.HOLDS


@transaction.atomic
def settle_dispute(*, disputed: Evidence, keep: bool, by: User) -> None:
    """Let a disputed value hold (`keep`), or settle against it; the record follows.

    The person's choice is noted: the loser stays readable as settled against.
    """
    lock_boat(disputed.boat)
    disputed.refresh_from_db()
    if disputed.standing != Standing.DISPUTED:
        raise MoveRefused("This was settled already.", todo="Look at the boat's sheet again.")
    word = "taken" if keep else "refused"
    disputed.note = f"{disputed.note} {word} by {by}, {timezone.now():%d %b %Y}".strip()[:200]
    disputed.standing = Standing.HOLDS if keep else Standing.REJECTED
    if keep:
        _same_fact(disputed).filter(standing=Standing.HOLDS).update(standing=Standing.REJECTED)
        subject = _subject(disputed)
        touched: dict = {}
        _apply(subject, disputed.fact, disputed.value, touched)
        _save_subjects(touched.values())
    disputed.save()
    touch_boat(disputed.boat)


def _same_fact(row: Evidence) -> QuerySet[Evidence]:
    links = {f"{slot}_id": getattr(row, f"{slot}_id") for slot in Evidence.SUBJECTS}
    return Evidence.objects.filter(boat=row.boat_id, fact=row.fact, **links).exclude(pk=row.pk)


def _subject(row: Evidence) -> Subject:
    slot, _ = subject_of(row)
    return getattr(row, slot)


def _soft(row: Evidence) -> bool:
    slot, _ = subject_of(row)
    return is_soft(slot=slot, fact=row.fact, seen_at=row.seen_at, now=timezone.now())


def _order(stated: Stated) -> int:
    # A unit's model is written before its release, which depends on it.
    names = list(KINDS[slot_of(stated.subject)])
    return names.index(stated.fact) if stated.fact in names else len(names)


def _key(stated: Stated) -> Key:
    return slot_of(stated.subject), stated.subject.pk, stated.fact


def _holding(boat: Boat, facts: Iterable[Stated]) -> dict[Key, Evidence]:
    names = {stated.fact for stated in facts} | {"release"}
    rows = Evidence.objects.filter(boat=boat, standing=Standing.HOLDS, fact__in=names)
    return {(*subject_of(row), row.fact): row for row in rows.order_by("seen_at", "pk")}


def _evidence(boat: Boat, stated: Stated, seen: Seen) -> Evidence:
    slot = slot_of(stated.subject)
    row = Evidence(
        boat=boat,
        fact=stated.fact,
        value=text_of(stated.value),
        how=seen.how,
        sureness=seen.sureness,
        seen_at=seen.seen_at or timezone.now(),
        by=seen.by,
        photo=seen.photo,
        job_number=seen.job_number,
        note=seen.note,
    )
    if slot != "boat":
        setattr(row, slot, stated.subject)
    return row


def _write(stated: Stated, row: Evidence, holding: dict, touched: dict) -> None:
    holds = holding.get(_key(stated))
    if holds is not None:
        _apply(stated.subject, stated.fact, holds.value, touched)


def _apply(subject: Subject, fact: str, text: str, touched: dict) -> None:
    if fact in {"end_a", "end_b"}:
        move_end(cable=subject, side=fact[-1], text=text)
    elif write_fact(subject, fact, text):
        key = (slot_of(subject), subject.pk)
        touched.setdefault(key, (subject, set()))[1].add(fact)


def _save_subjects(touched: Iterable[tuple[Subject, set[str]]]) -> None:
    for subject, facts in touched:
        if isinstance(subject, Boat):
            freshen(subject)
        subject.save()
        if isinstance(subject, Unit) and "location" in facts:
            # A cable's end lies where its unit is.
            CableEnd.objects.filter(unit=subject).update(location=subject.location)


def label_of(row: Evidence) -> str:
    """The words for what an evidence row speaks of."""
    slot, _ = subject_of(row)
    return kind_of(slot, row.fact).label
