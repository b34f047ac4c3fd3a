"""The list behind every type-ahead field: which rows, for whom, under which name."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import islice
from typing import Any

from django.http import HttpRequest

from shopapp.roles import ACTIONS

SHOWN = 12
WORDS_LIMIT = 8

Option = tuple[Any, str, str]
Rows = Callable[[HttpRequest, list[str]], Iterable[Option]]
LabelOf = Callable[[HttpRequest, str], str]
RowOf = Callable[[HttpRequest, str], Any]


@dataclass(frozen=True)
class Pick:
    """One kind of thing to pick; `action` is the role's action that it asks for."""

    kind: str
    action: str
    rows: Rows
    label_of: LabelOf
    row_of: RowOf | None = None

    def options(self, request: HttpRequest, text: str) -> list[Option]:
        """The first options that match the words typed: (value, label, hint)."""
        words = text.split()[:WORDS_LIMIT]
        return list(islice(self.rows(request, words), SHOWN))


_PICKS: dict[str, Pick] = {}


def register_pick(
    kind: str, action: str, rows: Rows, label_of: LabelOf, *, row_of: RowOf | None = None
) -> None:
    """Make a kind pickable; call it from the room's `AppConfig.ready`.

    `rows(request, words)` yields (value, label, hint) of the person's own shop
    only, lazily or sliced: the first twelve are shown; `words` is empty before
    anything is typed. `label_of(request, value)` is the label of a chosen
    value, "" where the shop has no such row. With `row_of(request, value)` a
    form's cleaned value is that row (None where there is none) instead of the
    value's text.
    """
    if action not in ACTIONS:
        raise ValueError(f"unknown action {action!r}")
    if kind in _PICKS and _PICKS[kind].rows is not rows:
        raise ValueError(f"pick {kind!r} is registered twice")
    _PICKS[kind] = Pick(kind, action, rows, label_of, row_of)


def pick_of(kind: str) -> Pick | None:
    """The kind's pick, None where nobody registered it."""
    return _PICKS.get(kind)
