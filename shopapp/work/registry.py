"""Which kinds of rows a worker advances, and by which function.

Rooms register their kind when the app starts; `run_row` is the one function
that the embedded worker and Celery both call.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:  # rooms register before the models are loaded
    from shopapp.work.models import LeasedQuerySet, LeasedRow


@dataclass(frozen=True, slots=True)
class Kind:
    """`rows` gives a fresh queryset; `advance(pk)` claims, works and finishes one row.

    For the queue page: `label` names many of them, `to_list` fetches what `str(row)` reads and
    leaves out what is large, `address(row)` is the page where the row is looked at. A kind whose
    rows carry no `shop` is shown to nobody.
    """

    name: str
    rows: Callable[[], "LeasedQuerySet"]
    advance: Callable[[int], bool]
    label: str = ""
    to_list: Callable[[Any], Any] = lambda rows: rows
    address: Callable[["LeasedRow"], str] | None = None


KINDS: dict[str, Kind] = {}


def register(kind: Kind) -> None:
    """Make a kind known to the workers; once a name."""
    KINDS[kind.name] = kind
