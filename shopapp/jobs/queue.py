"""What the queue page shows of the workers' rows, kind by kind, and its two buttons."""

from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from typing import Any

from django.db.models import Count, Min
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.jobs.models import Batch, Document
from shopapp.work.models import LeasedQuerySet, RowState
from shopapp.work.registry import KINDS, Kind
from shopapp.work.services import ring

ROWS_SHOWN = 25
LAST_PAPERS = 20
A_REST = 10  # times as long as the others on average: nobody worked
SHOWN = (RowState.RUNNING, RowState.REQUESTED, RowState.FAILED, RowState.STOPPED)


@dataclass(frozen=True)
class Line:
    """One kind of work: how many rows wait, run, failed, were stopped; since when the oldest."""

    kind: str
    label: str
    waiting: int
    running: int
    failed: int
    stopped: int
    ready: int
    oldest: datetime | None
    put_off: int

    @property
    def unfinished(self) -> int:
        """Rows that a worker still has to finish."""
        return self.waiting + self.running

    @property
    def age(self) -> str:
        """How long the oldest unfinished row has waited, in words; "" where none waits."""
        return "" if self.oldest is None else span_words(timezone.now() - self.oldest)


def span_words(length: Any) -> str:
    """A span of time in its two largest units: `2 h 05 min`, `3 min`, `12 s`."""
    seconds = max(0, int(length.total_seconds()))
    if seconds < 60:
        return f"{seconds} s"
    minutes = seconds // 60
    if minutes < 60:
        return f"{minutes} min"
    if minutes < 48 * 60:
        return f"{minutes // 60} h {minutes % 60:02d} min"
    return f"{minutes // (24 * 60)} days"


def kinds_of(shop: Shop) -> list[tuple[Kind, LeasedQuerySet]]:
    """The kinds whose rows belong to a shop, each with this shop's rows."""
    return [
        (kind, kind.rows().filter(shop=shop))
        for kind in KINDS.values()
        if any(field.name == "shop" for field in kind.rows().model._meta.get_fields())
    ]


def label_of(kind: Kind) -> str:
    """What many rows of a kind are called: its label, else its name in words."""
    return kind.label or kind.name.replace("_", " ")


def lines_of(shop: Shop) -> list[Line]:
    """The queue of a shop; three queries a kind, however long it is."""
    return [_line(kind, rows) for kind, rows in kinds_of(shop)]


def _line(kind: Kind, rows: LeasedQuerySet) -> Line:
    counted = rows.order_by().values_list("row_state").annotate(count=Count("pk"))
    counts = dict(counted)
    open_rows = rows.unfinished()
    return Line(
        kind=kind.name,
        label=label_of(kind),
        waiting=counts.get(RowState.REQUESTED, 0),
        running=counts.get(RowState.RUNNING, 0),
        failed=counts.get(RowState.FAILED, 0),
        stopped=counts.get(RowState.STOPPED, 0),
        ready=counts.get(RowState.READY, 0),
        oldest=open_rows.aggregate(oldest=Min("requested_at"))["oldest"],
        put_off=open_rows.filter(wait_until__gt=timezone.now()).count(),
    )


@dataclass(frozen=True)
class QueueRow:
    """One row of the list: what it is, where it stands, and where it can be looked at."""

    kind: str
    label: str
    row: Any
    address: str

    @property
    def may_stop(self) -> bool:
        """Whether it still waits or is being made."""
        return self.row.row_state in {RowState.REQUESTED, RowState.RUNNING}

    @property
    def age(self) -> str:
        """Since when, in words."""
        return span_words(timezone.now() - self.row.requested_at)


def rows_of(shop: Shop, *, kind: str = "", state: str = "") -> list[QueueRow]:
    """The rows that are not ready, running first, at most `ROWS_SHOWN` a state and kind."""
    states = [state] if state in SHOWN else list(SHOWN)
    found = []
    for one in states:
        for known, rows in kinds_of(shop):
            if kind in ("", known.name):
                found += _rows(known, rows.filter(row_state=one))
    return found


def _rows(kind: Kind, rows: LeasedQuerySet) -> list[QueueRow]:
    shown = kind.to_list(rows).oldest_first()[:ROWS_SHOWN]
    label = label_of(kind).removesuffix("s")
    return [
        QueueRow(kind.name, label, row, kind.address(row) if kind.address else "") for row in shown
    ]


def stop_rows(*, shop: Shop, kind: str, by: User, pk: int | None = None) -> int:
    """Stop one row, or all that wait or run, of a kind; how many. KeyError for an unknown kind."""
    return _rows_named(shop, kind, pk).stop(by=str(by))


def again_rows(*, shop: Shop, kind: str, pk: int | None = None) -> int:
    """Bring one failed or stopped row, or all failed ones, back into the line; how many."""
    rows = _rows_named(shop, kind, pk)
    wanted = [RowState.FAILED] if pk is None else [RowState.FAILED, RowState.STOPPED]
    pks = list(rows.filter(row_state__in=wanted).values_list("pk", flat=True))
    again = rows.filter(pk__in=pks).ask_all_again()
    for one in pks:
        ring(kind, one)
    return again


def _rows_named(shop: Shop, kind: str, pk: int | None) -> LeasedQuerySet:
    rows = {known.name: rows for known, rows in kinds_of(shop)}[kind]
    return rows if pk is None else rows.filter(pk=pk)


@dataclass(frozen=True)
class Progress:
    """How far a batch is."""

    batch: Batch
    total: int
    ready: int
    failed: int
    stopped: int
    seconds_left: int | None

    @property
    def left(self) -> int:
        """Papers that a worker still has to make."""
        return self.total - self.ready - self.failed - self.stopped

    @property
    def over(self) -> bool:
        """Whether no paper waits any more."""
        return self.left == 0

    @property
    def remaining(self) -> str:
        """The remaining time in words; "" where nothing was finished lately to judge by."""
        if self.seconds_left is None or self.over:
            return ""
        if self.seconds_left < 60:
            return "less than a minute"
        minutes = round(self.seconds_left / 60)
        return f"about {minutes} min" if minutes < 90 else f"about {round(minutes / 60)} h"


def progress_of(batch: Batch) -> Progress:
    """Counts, and the remaining time by the pace of the last twenty papers; two queries."""
    counted = batch.documents.order_by().values_list("row_state").annotate(count=Count("pk"))
    counts = dict(counted)
    done = batch.documents.filter(row_state=RowState.READY, finished_at__isnull=False).order_by(
        "-finished_at"
    )
    times = list(done.values_list("finished_at", flat=True)[:LAST_PAPERS])
    total = sum(counts.values())
    ready = counts.get(RowState.READY, 0)
    failed, stopped = counts.get(RowState.FAILED, 0), counts.get(RowState.STOPPED, 0)
    left = total - ready - failed - stopped
    return Progress(batch, total, ready, failed, stopped, seconds_left(times, left))


def seconds_left(times: list[datetime], left: int) -> int | None:
    """`left` papers at the pace of these times, newest first; None where fewer than two.

    One rest far longer than the others, as after a stop, is no part of the pace.
    """
    gaps = sorted((later - earlier).total_seconds() for later, earlier in pairwise(times))
    if not gaps:
        return None
    usual = sum(gaps[:-1]) / max(len(gaps) - 1, 1)
    if len(gaps) > 2 and gaps[-1] > A_REST * usual:
        gaps.pop()
    return round(sum(gaps) / len(gaps) * left)


def batches_of(shop: Shop) -> list[Progress]:
    """The last ten batches with their counts; two queries."""
    batches = list(Batch.objects.of(shop).select_related("asked_by")[:10])
    counted = (
        Document.objects.filter(batch__in=batches)
        .order_by()
        .values_list("batch", "row_state")
        .annotate(count=Count("pk"))
    )
    counts: dict[int, dict[str, int]] = {}
    for pk, state, count in counted:
        counts.setdefault(pk, {})[state] = count
    return [_counted(batch, counts.get(batch.pk, {})) for batch in batches]


def _counted(batch: Batch, counts: dict[str, int]) -> Progress:
    return Progress(
        batch,
        sum(counts.values()),
        counts.get(RowState.READY, 0),
        counts.get(RowState.FAILED, 0),
        counts.get(RowState.STOPPED, 0),
        None,
    )
