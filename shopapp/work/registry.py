"""Which kinds of rows a worker advances, and by which function.

Rooms register their kind when the app starts; `run_row` is the one function
that the embedded worker and Celery both call.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # rooms register before the models are loaded
    from shopapp.work.models import LeasedQuerySet


@dataclass(frozen=True, slots=True)
class Kind:
    """`rows` gives a fresh queryset; `advance(pk)` claims, works and finishes one row."""

    name: str
    rows: Callable[[], "LeasedQuerySet"]
    advance: Callable[[int], bool]


KINDS: dict[str, Kind] = {}


def register(kind: Kind) -> None:
    """Make a kind known to the workers; once a name."""
    KINDS[kind.name] = kind
