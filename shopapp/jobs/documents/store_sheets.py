"""The facts of the store's papers: the tote's label and the purchase order."""

from shopapp.jobs.documents.common import Facts, boat_facts, day_words, local_day, shop_facts
from shopapp.jobs.documents.pick_sheet import pick_job_for_paper
from shopapp.jobs.models import Job, PickLine, PickList
from shopapp.jobs.totes import ALWAYS_IN_THE_TOTE
from shopapp.stock.models import PurchaseLine, PurchaseOrder

tote_job_for_paper = pick_job_for_paper


def tote_label_facts(job: Job) -> Facts:
    """A label for each tote, and the list inside the lid; what is split off is named."""
    lists = [one for one in job.pick_lists.all() if one.state != PickList.State.CANCELLED]
    pick_list = lists[0] if lists else None
    lines = list(pick_list.lines.all()) if pick_list else []
    totes = pick_list.totes if pick_list else 1
    extras = pick_list.extras if pick_list else []
    return {
        "shop": shop_facts(job.shop),
        "number": job.number,
        "title": job.title,
        "boat": boat_facts(job.boat),
        "customer": job.customer.name,
        "technician": str(job.technician) if job.technician else "",
        "planned_on": day_words(job.planned_on),
        "totes": [{"number": one, "of": totes} for one in range(1, totes + 1)],
        "inside": [_inside(line) for line in lines if line.picked],
        "missing": [_missing(line) for line in lines if line.short and not line.spare],
        "extras": [ALWAYS_IN_THE_TOTE[key] for key in extras if key in ALWAYS_IN_THE_TOTE],
        "left_out": pick_list.extras_why if pick_list else "",
        "split": pick_list.split_reason if pick_list else "",
        "staged_by": str(pick_list.staged_by) if pick_list and pick_list.staged_by else "",
        "staged_on": day_words(local_day(pick_list.staged_at, job.shop)) if pick_list else "",
    }


def _inside(line: PickLine) -> Facts:
    return {
        "count": line.picked,
        "number": line.part.number,
        "name": line.part.name,
        "spare": line.spare,
        "note": line.note,
    }


def _missing(line: PickLine) -> Facts:
    return {"count": line.short, "number": line.part.number, "name": line.part.name}


def order_for_paper(pk: int) -> PurchaseOrder:
    """The order with what its paper shows; two queries whatever its length."""
    rows = PurchaseOrder.objects.select_related("shop", "supplier", "made_by")
    return rows.prefetch_related("lines__part").get(pk=pk)


def purchase_facts(order: PurchaseOrder) -> Facts:
    """All that a purchase order shows, as plain data."""
    lines = [_order_line(line) for line in order.lines.all()]
    known = [line["total_cents"] for line in lines if line["total_cents"] is not None]
    supplier = order.supplier
    return {
        "shop": shop_facts(order.shop),
        "number": order.number,
        "title": supplier.name,
        "boat": {"name": "", "berth": ""},
        "supplier": {
            "name": supplier.name,
            "phone": supplier.phone,
            "email": supplier.email,
            "account": supplier.account_number,
        },
        "their_number": order.supplier_ref,
        "made_by": str(order.made_by) if order.made_by else "",
        "made_on": day_words(local_day(order.made_at, order.shop)),
        "note": order.note,
        "lines": lines,
        "total_cents": sum(known),
        "unpriced": len(lines) - len(known),
    }


def _order_line(line: PurchaseLine) -> Facts:
    return {
        "position": line.position,
        "number": line.part.number,
        "their": line.number,
        "name": line.part.name,
        "quantity": line.quantity,
        "unit_cents": line.unit_cents,
        "total_cents": line.total_cents,
    }
