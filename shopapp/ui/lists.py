"""Lists of any length, a page at a time, without counting the table."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest

LAST_PAGE = 100_000


@dataclass(frozen=True)
class ListPage:
    """One page of a list: its rows, its number (from 1), its neighbours, the words searched."""

    items: list[Any]
    number: int
    has_next: bool
    has_previous: bool
    query: str

    @property
    def next(self) -> int:
        """The number of the page behind this one."""
        return self.number + 1

    @property
    def previous(self) -> int:
        """The number of the page before this one."""
        return self.number - 1

    def __iter__(self) -> Iterator[Any]:
        return iter(self.items)

    def __len__(self) -> int:
        return len(self.items)


def page_number(request: HttpRequest) -> int:
    """The `page` asked for; anything that is no page is the first one."""
    text = request.GET.get("page", "1")
    if not (text.isascii() and text.isdigit()):
        return 1
    return min(max(int(text), 1), LAST_PAGE) if len(text) < 9 else 1


def list_page(
    request: HttpRequest, rows: QuerySet | Sequence[Any], *, per_page: int = 50
) -> ListPage:
    """The page asked for by `?page=`, fetched with one row more to see whether another follows."""
    number = page_number(request)
    start = (number - 1) * per_page
    found = list(rows[start : start + per_page + 1])
    return ListPage(
        items=found[:per_page],
        number=number,
        has_next=len(found) > per_page,
        has_previous=number > 1,
        query=request.GET.get("q", "").strip(),
    )
