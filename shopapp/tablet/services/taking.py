"""Take entries from a tablet: each once, in its order, whatever the line did on the way."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.errors import ShopError
from shopapp.jobs.models import Job
from shopapp.tablet.models import Entry, Tablet
from shopapp.tablet.services.applying import Outcome, apply_entry, words_for_moved_job

MOST_ENTRIES = 200
MOST_SEQ = 2**53
JsonDict = dict[str, Any]


@dataclass(frozen=True)
class Sent:
    """One entry as it was read from the wire; `at_ms` is the tablet's own clock."""

    uid: UUID
    seq: int
    job: int
    person: int
    kind: str
    target: str
    body: JsonDict
    at_ms: int


def greet_tablet(*, user: User, uid: UUID, now_ms: int) -> Tablet:
    """The tablet's row, with how far its clock is off ours now."""
    now = timezone.now()
    facts = {"user": user, "clock_off_ms": int(now.timestamp() * 1000) - now_ms}
    row, _ = Tablet.objects.update_or_create(
        shop_id=user.shop_id, uid=uid, defaults=facts | {"last_seen_at": now}
    )
    return row


def made_at(tablet: Tablet, at_ms: int) -> datetime:
    """When an entry was made, by our clock: never in the future."""
    now = timezone.now()
    try:
        at = datetime.fromtimestamp((at_ms + tablet.clock_off_ms) / 1000, tz=UTC)
    except (OverflowError, ValueError, OSError):
        return now
    return min(at, now) if at > now - timedelta(days=3650) else now


def take_entries(*, user: User, tablet: Tablet, entries: Iterable[Sent]) -> list[JsonDict]:
    """Take each entry in the tablet's order; one answer an entry, `uid` and `outcome` in each.

    An entry that was taken before is answered as it was then. Entries of another person wait
    for that person (`not_yours`), those of a job that is not the shop's are `no_job`.
    """
    jobs: dict[int, Job] = {}
    return [
        _answered(user, tablet, sent, jobs) for sent in sorted(entries, key=lambda one: one.seq)
    ]


def _answered(user: User, tablet: Tablet, sent: Sent, jobs: dict[int, Job]) -> JsonDict:
    known = Entry.objects.filter(shop_id=user.shop_id, uid=sent.uid).first()
    if known is not None:
        return _answer(known)
    if sent.person != user.pk:
        return _not_taken(sent, "not_yours", "This entry is another person's.", "They sign in.")
    if not _shop_has(user, sent.job, jobs):
        return _not_taken(
            sent, "no_job", "The shop has no such job.", "Show this entry to the desk."
        )
    try:
        return _answer(_take(user, tablet, sent))
    except IntegrityError:
        # The same entry came on another line in this very moment, and was first.
        first = Entry.objects.filter(shop_id=user.shop_id, uid=sent.uid).first()
        if first is None:
            raise
        return _answer(first)


def _shop_has(user: User, pk: int, jobs: dict[int, Job]) -> bool:
    if pk not in jobs:
        found = Job.objects.of(user.shop_id).filter(pk=pk).only("pk").first()
        if found is None:
            return False
        jobs[pk] = found
    return True


@transaction.atomic
def _take(user: User, tablet: Tablet, sent: Sent) -> Entry:
    """The row first, so that the entry is claimed; then what it does, or why it cannot."""
    entry = Entry.objects.create(
        shop_id=user.shop_id,
        uid=sent.uid,
        job_id=sent.job,
        tablet=tablet,
        seq=sent.seq,
        kind=sent.kind,
        target=sent.target,
        body=sent.body,
        by=user,
        made_at=made_at(tablet, sent.at_ms),
        outcome=Entry.Outcome.TAKEN,
    )
    run_entry(entry, by=user)
    return entry


def run_entry(entry: Entry, *, by: User) -> None:
    """Do what the entry says, and write down what came of it; inside a transaction."""
    try:
        with transaction.atomic():
            outcome = apply_entry(entry, by=by)
    except ShopError as error:
        words, todo = words_for_moved_job(entry, by, error)
        outcome = Outcome(Entry.Outcome.REFUSED, words, todo)
    entry.outcome, entry.message, entry.todo = outcome.word, outcome.message, outcome.todo
    entry.save(update_fields=["outcome", "message", "todo", "body"])


def _answer(entry: Entry) -> JsonDict:
    return {
        "uid": str(entry.uid),
        "outcome": entry.outcome,
        "message": entry.message,
        "todo": entry.todo,
    }


def _not_taken(sent: Sent, outcome: str, message: str, todo: str) -> JsonDict:
    return {"uid": str(sent.uid), "outcome": outcome, "message": message, "todo": todo}


def read_sent(row: Mapping[str, Any]) -> Sent:
    """An entry from JSON. ValueError where it is none."""
    body = row.get("body") if isinstance(row, Mapping) else None
    if not isinstance(body, dict) or "\\u0000" in json.dumps(body):
        raise ValueError("an entry is an object with a body that a database can keep")
    seq, job, person, at = (_whole(row, name) for name in ("seq", "job", "person", "at"))
    kind, target = str(row.get("kind", "")), str(row.get("target", ""))
    if not 0 < seq <= MOST_SEQ or len(kind) > 12 or len(target) > 160 or "\x00" in kind + target:
        raise ValueError("seq, kind or target is out of bounds")
    return Sent(UUID(str(row.get("uid"))), seq, job, person, kind, target, body, at)


def _whole(row: Mapping[str, Any], name: str) -> int:
    value = row.get(name)
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) > MOST_SEQ:
        raise ValueError(f"{name} is no whole number")
    return value
