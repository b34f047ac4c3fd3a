"""Give back what a pick list holds: pieces on shelves, pieces on order, boxes in a tote."""

from django.db.models import F, QuerySet
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.jobs.models import Job, PickLine, PickList
from shopapp.stock.models import Piece, PurchaseLine
from shopapp.stock.services import give_back

HELD = ["state", "reserved", "ordered", "picked", "purchase_line"]


def release_lists(*, job: Job, by: User | None) -> None:
    """Cancel the job's open lists: all that they held lies free again, inside the transaction.

    What was issued already is out with the technician, and comes back as leftovers.
    """
    open_states = [PickList.State.OPEN, PickList.State.STAGED]
    for pick_list in job.pick_lists.filter(state__in=open_states):
        lines = list(pick_list.lines.select_related("stock"))
        for line in lines:
            if not line.issued:
                release_line(line=line, ref=job.number, by=by)
        PickLine.objects.bulk_update(lines, HELD)
        issued = any(line.issued for line in lines)
        pick_list.state = PickList.State.ISSUED if issued else PickList.State.CANCELLED
        pick_list.settled_at = timezone.now() if issued else None
        pick_list.save(update_fields=["state", "settled_at"])
    boxes = Piece.objects.filter(shop=job.shop_id, ref=job.number, state=Piece.State.TOTE)
    boxes.update(state=Piece.State.HERE, ref="")


def release_line(*, line: PickLine, ref: str, by: User | None) -> None:
    """A line that holds nothing any more, and is only wanted; unsaved."""
    if line.stock_id and line.reserved:
        give_back(stock=line.stock, count=line.reserved, picked=line.picked, ref=ref, by=by)
    drop_order(line)
    line.reserved = line.picked = 0
    line.state = PickLine.State.WANTED


def drop_order(line: PickLine) -> None:
    """Give back what the line had spoken for on an order; unsaved."""
    if line.ordered:
        rows = PurchaseLine.objects.filter(pk=line.purchase_line_id, spoken__gte=line.ordered)
        rows.update(spoken=F("spoken") - line.ordered)
    line.ordered, line.purchase_line = 0, None


def unsettled_lists(job: Job) -> QuerySet[PickList]:
    """The lists of a job of whose parts nobody has yet said what was used."""
    return job.pick_lists.filter(settled_at=None).exclude(state=PickList.State.CANCELLED)


def lessen_line(*, line: PickLine, count: int, ref: str, by: User | None = None) -> int:
    """Take up to `count` unpicked pieces off a line, missing ones first; how many were taken off.

    A line of which nothing is left goes away.
    """
    off = min(count, line.wanted - line.picked)
    if off <= 0:
        return 0
    held = max(off - line.missing, 0)
    on_order = min(held, line.ordered)
    free = min(held - on_order, line.reserved - line.picked)
    if free and line.stock_id:
        give_back(stock=line.stock, count=free, ref=ref, by=by)
    if on_order:
        rows = PurchaseLine.objects.filter(pk=line.purchase_line_id, spoken__gte=on_order)
        rows.update(spoken=F("spoken") - on_order)
    if off == line.wanted:
        line.delete()
        return off
    line.wanted, line.reserved = line.wanted - off, line.reserved - free
    line.ordered -= on_order
    line.settle_state().save()
    return off
