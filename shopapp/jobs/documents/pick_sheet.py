"""The facts of a pick list: what to take from which shelf, what is short, the tote's label."""

from shopapp.jobs.documents.common import Facts, boat_facts, day_words, shop_facts
from shopapp.jobs.models import Job, PickLine, PickList
from shopapp.jobs.totes import ALWAYS_IN_THE_TOTE


def pick_job_for_paper(pk: int) -> Job:
    """The job with its pick list; eight queries whatever its size."""
    rows = Job.objects.select_related("shop", "boat", "customer", "technician")
    return rows.prefetch_related(
        "pick_lists__staged_by",
        "pick_lists__lines__part",
        "pick_lists__lines__stock",
        "pick_lists__lines__purchase_line__order",
    ).get(pk=pk)


def pick_list_facts(job: Job) -> Facts:
    """All that a pick list shows, as plain data."""
    lines = [
        _line(line)
        for pick_list in job.pick_lists.all()
        if pick_list.state != PickList.State.CANCELLED
        for line in pick_list.lines.all()
    ]
    return {
        "shop": shop_facts(job.shop),
        "number": job.number,
        "title": job.title,
        "boat": boat_facts(job.boat),
        "customer": job.customer.name,
        "technician": str(job.technician) if job.technician else "",
        "planned_on": day_words(job.planned_on),
        "wanted": [line for line in lines if not line["spare"]],
        "spares": [line for line in lines if line["spare"]],
        "pieces": sum(line["wanted"] for line in lines),
        "short": sum(line["short"] for line in lines),
        "always": list(ALWAYS_IN_THE_TOTE.values()),
    }


def _line(line: PickLine) -> Facts:
    return {
        "position": line.position,
        "number": line.part.number,
        "name": line.part.name,
        "wanted": line.wanted,
        "reserved": line.reserved,
        "shelf": line.stock.place if line.stock else "",
        "short": line.short,
        "order": _promise(line),
        "instead_of": line.note if line.instead_of_id else "",
        "spare": line.spare,
        "note": line.note,
    }


def _promise(line: PickLine) -> str:
    """Which order the line waits for, and what is promised."""
    if not line.ordered or line.purchase_line is None:
        return ""
    promised = line.purchase_line.promised_on
    day = f"promised {day_words(promised)}" if promised else "no day promised"
    return f"{line.purchase_line.order}, {day}"
