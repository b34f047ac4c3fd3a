"""Moves of quotes and jobs: allowed ones only, by compare-and-set, each on record."""

from typing import Any

from django.db import transaction
from django.db.models import F
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.errors import MoveRefused, StaleRecord
from shopapp.jobs.models import Job, Move, Quote
from shopapp.jobs.states import CUSTOMER, JOB_MOVES, QUOTE_MOVES, role_may

NOTE_LIMIT = 300


@transaction.atomic
def move_quote(
    *,
    quote: Quote,
    after: str,
    by: User | None = None,
    by_name: str = "",
    note: str = "",
    facts: dict[str, Any] | None = None,
) -> Move:
    """Bring a quote from the state seen into the next one, with `facts` set in the same stroke.

    Without a user it is the customer (with `by_name`) or the clock (without).
    MoveRefused where no such move exists or the role may not make it;
    StaleRecord where somebody else moved it first: nothing is written then.
    """
    who = by.role if by else CUSTOMER
    _check_allowed(quote, QUOTE_MOVES, after, who, kind="quote")
    now = {**(facts or {}), "state": after, "version": F("version") + 1}
    rows = Quote.objects.filter(pk=quote.pk, state=quote.state)
    _check_first(rows.update(**now), quote)
    return _record(quote, after, facts, quote=quote, by=by, by_name=by_name, note=note)


@transaction.atomic
def move_job(
    *,
    job: Job,
    after: str,
    by: User | None = None,
    by_name: str = "",
    note: str = "",
    facts: dict[str, Any] | None = None,
) -> Move:
    """Bring a job from the state and version seen into the next state.

    Without a user it is the program that moves it (opening, parts arriving).
    MoveRefused where no such move exists or the role may not make it;
    StaleRecord where somebody else changed the job first.
    """
    if by is None:
        _check_exists(job, JOB_MOVES, after, kind="job")
    else:
        _check_allowed(job, JOB_MOVES, after, by.role, kind="job")
    now = {**(facts or {}), "state": after, "version": F("version") + 1}
    rows = Job.objects.filter(pk=job.pk, state=job.state, version=job.version)
    _check_first(rows.update(**now), job)
    return _record(job, after, facts, job=job, by=by, by_name=by_name, note=note)


def check_job_move(*, job: Job, after: str, by: User) -> None:
    """MoveRefused where the job cannot go there now, or not by this person."""
    _check_allowed(job, JOB_MOVES, after, by.role, kind="job")


def opened(*, by: User | None = None, note: str = "", **of: Quote | Job) -> Move:
    """The first row of a record's moves: where it began."""
    row = of.get("quote") or of["job"]
    return Move.objects.create(after=row.state, by=by, note=note[:NOTE_LIMIT], **of)


def _check_exists(row: Quote | Job, moves: dict, after: str, *, kind: str) -> None:
    if after not in moves[row.state]:
        words = dict(type(row).State.choices)
        raise MoveRefused(
            f"The {kind} {row} is “{words[row.state]}”; it cannot become “{words[after]}”.",
            todo="Load the page again to see what can be done now.",
        )


def _check_allowed(row: Quote | Job, moves: dict, after: str, who: str, *, kind: str) -> None:
    _check_exists(row, moves, after, kind=kind)
    if not role_may(moves, row.state, after, who):
        words = dict(type(row).State.choices)
        raise MoveRefused(
            f"Your role may not bring the {kind} {row} to “{words[after]}”.",
            todo="Ask somebody whose role may.",
        )


def _check_first(rows_changed: int, row: Quote | Job) -> None:
    if rows_changed != 1:
        raise StaleRecord(
            f"Somebody else changed {row} while you looked at it.",
            todo="Load the page again; nothing was written.",
        )


def _record(row: Quote | Job, after: str, facts: dict[str, Any] | None, **move: Any) -> Move:
    before = row.state
    move["note"] = move["note"][:NOTE_LIMIT]
    row.state = after
    row.version += 1
    for name, value in (facts or {}).items():
        setattr(row, name, value)
    return Move.objects.create(before=before, after=after, at=timezone.now(), **move)
