"""Received pieces go to the lines that wait: those that spoke for them first, then the soonest."""

from django.db import transaction
from django.db.models import F

from shopapp.accounts.models import User
from shopapp.catalog.models import Part
from shopapp.jobs.models import PickLine, PickList
from shopapp.jobs.services.picking import fill_line, make_ready
from shopapp.jobs.services.shortages import OPEN_LISTS, waiting_for
from shopapp.stock.models import PurchaseLine


@transaction.atomic
def serve_waiting(*, order_line: PurchaseLine, part: Part, count: int, by: User) -> int:
    """Reserve up to `count` pieces for waiting lines; pieces given. Whole jobs become ready."""
    lines = _spoken(order_line) if order_line.part_id == part.pk else []
    lines += waiting_for(shop=order_line.order.shop, part=part)
    left, lists = count, {}
    for line in lines:
        if not left:
            break
        got = fill_line(line=line, by=by, most=left)
        left -= got
        if got:
            lists[line.pick_list_id] = line.pick_list
    for pick_list in lists.values():
        make_ready(job=pick_list.job, pick_list=pick_list, by=None)
    return count - left


def _spoken(order_line: PurchaseLine) -> list[PickLine]:
    rows = PickLine.objects.filter(
        purchase_line=order_line, ordered__gt=0, pick_list__state__in=OPEN_LISTS
    )
    lists = PickList.objects.filter(lines__in=rows)
    list(PickList.objects.select_for_update().filter(pk__in=lists).order_by("pk"))
    rows = rows.select_related("part", "pick_list__job", "purchase_line")
    soonest = F("pick_list__job__planned_on").asc(nulls_last=True)
    return list(rows.order_by(soonest, "spare", "pick_list", "position"))
