"""Advance rows: the one function behind the embedded worker and Celery."""

import errno
import logging
import uuid
from collections.abc import Callable
from datetime import datetime

from django.db.models import Model
from django.template import TemplateDoesNotExist, TemplateSyntaxError
from django.utils import timezone

from shopapp.errors import ShopError
from shopapp.work.heartbeat import held
from shopapp.work.models import LeasedQuerySet
from shopapp.work.registry import KINDS

log = logging.getLogger(__name__)

FULL = {errno.ENOSPC, errno.EDQUOT}
FULL_PAUSE_SECONDS = 30
# What a faulty record or template raises; a database that is away is no fault of the row.
RECORD_FAULTS = (
    ArithmeticError,
    AssertionError,
    AttributeError,
    LookupError,
    RuntimeError,
    TemplateDoesNotExist,
    TemplateSyntaxError,
    TypeError,
    ValueError,
)


def run_row(kind: str, pk: int) -> bool:
    """Advance one row of a kind; whether this call finished it.

    Safe to call twice, late, or for a row that is gone: only a claim lets work begin.
    Raises KeyError for a kind that no room registered.
    """
    known = KINDS[kind]
    known.rows().filter(pk=pk).give_up_hopeless(timezone.now())
    return known.advance(pk)


def advance(
    *,
    rows: LeasedQuerySet,
    pk: int,
    make: Callable[[Model], dict[str, object]],
    undo: Callable[[dict[str, object]], None] | None = None,
) -> bool:
    """Claim the row, make its effect, and store that while the claim still holds.

    `make(row)` gives the columns to store; the lease is renewed as long as it takes. After a
    fault the row is given back with a reason, or put off while the disk is full; an overtaken
    result goes to `undo`. Database errors pass through: the lease runs out and the row is taken
    up again.
    """
    mark = rows.claim(pk)
    if mark is None:
        return False
    try:
        with held(rows, pk, mark):
            effect = make(rows.get(pk=pk))
    except (ShopError, OSError, *RECORD_FAULTS) as fault:
        log.warning("%s %s was not made", rows.model.__name__, pk, exc_info=fault)
        _not_made(rows, pk, mark, fault)
        return False
    if rows.finish(pk, mark, **effect):
        return True
    if undo is not None:
        undo(effect)
    return False


def _not_made(rows: LeasedQuerySet, pk: int, mark: uuid.UUID, fault: Exception) -> None:
    if isinstance(fault, OSError) and fault.errno in FULL:
        rows.put_off(pk, mark, reason_for(fault), FULL_PAUSE_SECONDS)
    else:
        rows.give_back(pk, mark, reason_for(fault))


def reason_for(fault: Exception) -> str:
    """A sentence that tells a person what to do about a fault."""
    if isinstance(fault, ShopError):
        return f"{fault.message} {fault.todo}".strip()
    if isinstance(fault, OSError):
        return _reason_of_files(fault)
    return (
        f"The records could not be put on paper ({type(fault).__name__}: {fault}). "
        "Look over the last change, then try again; if it stays, tell the owner of the system."
    )


def _reason_of_files(fault: OSError) -> str:
    if fault.errno in FULL:
        return (
            "The disk is full. Make room on it; "
            f"this is tried again every {FULL_PAUSE_SECONDS} seconds until there is."
        )
    if fault.errno in {errno.EACCES, errno.EPERM, errno.EROFS}:
        return "The data folder may not be written to. Have its rights set, then try again."
    return f"A file could not be written ({fault.strerror or fault}). Try again."


def open_rows(now: datetime, *, limit: int = 20) -> list[tuple[str, int]]:
    """The oldest open rows of each kind, as (kind, pk): single wishes before batches.

    Hopeless ones are given up first.
    """
    found: list[tuple[bool, datetime, str, int]] = []
    for kind in KINDS.values():
        kind.rows().give_up_hopeless(now)
        oldest = kind.rows().open_now(now).oldest_first()
        found += [
            (bulk, asked, kind.name, pk)
            for bulk, asked, pk in oldest.values_list("in_bulk", "requested_at", "pk")[:limit]
        ]
    return [(name, pk) for *_, name, pk in sorted(found)]


def run_open(*, stopped: Callable[[], bool] = lambda: False) -> int:
    """Advance every row that is open now, oldest first; how many were finished."""
    done = 0
    for kind, pk in open_rows(timezone.now()):
        if stopped():
            break
        done += run_row(kind, pk)
    return done
