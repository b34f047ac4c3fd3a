"""Advance rows: the one function behind the embedded worker and Celery."""

import errno
import logging
from collections.abc import Callable
from datetime import datetime

from django.db.models import Model
from django.template import TemplateDoesNotExist, TemplateSyntaxError
from django.utils import timezone

from shopapp.errors import ShopError
from shopapp.work.models import LeasedQuerySet
from shopapp.work.registry import KINDS

log = logging.getLogger(__name__)

FULL = {errno.ENOSPC, errno.EDQUOT}
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

    `make(row)` gives the columns to store. After a fault the row is given back with a reason;
    an overtaken result goes to `undo`. Database errors pass through: the lease runs out and the
    row is taken up again.
    """
    mark = rows.claim(pk)
    if mark is None:
        return False
    try:
        effect = make(rows.get(pk=pk))
    except (ShopError, OSError, *RECORD_FAULTS) as fault:
        log.warning("%s %s was not made", rows.model.__name__, pk, exc_info=fault)
        rows.give_back(pk, mark, reason_for(fault))
        return False
    if rows.finish(pk, mark, **effect):
        return True
    if undo is not None:
        undo(effect)
    return False


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
        return "The disk is full. Make room on it, then try again."
    if fault.errno in {errno.EACCES, errno.EPERM, errno.EROFS}:
        return "The data folder may not be written to. Have its rights set, then try again."
    return f"A file could not be written ({fault.strerror or fault}). Try again."


def open_rows(now: datetime, *, limit: int = 20) -> list[tuple[str, int]]:
    """The oldest open rows of each kind, as (kind, pk); hopeless ones are given up first."""
    found: list[tuple[datetime, str, int]] = []
    for kind in KINDS.values():
        kind.rows().give_up_hopeless(now)
        oldest = kind.rows().open_now(now).order_by("requested_at", "pk")
        found += [
            (asked, kind.name, pk) for asked, pk in oldest.values_list("requested_at", "pk")[:limit]
        ]
    return [(name, pk) for _, name, pk in sorted(found)]


def run_open(*, stopped: Callable[[], bool] = lambda: False) -> int:
    """Advance every row that is open now, oldest first; how many were finished."""
    done = 0
    for kind, pk in open_rows(timezone.now()):
        if stopped():
            break
        done += run_row(kind, pk)
    return done
