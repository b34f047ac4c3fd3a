"""The demo's change orders, a comeback, times of day on the board and a batch that was made."""

from datetime import time

from shopapp.demo.quotes import Cast
from shopapp.errors import ShopError
from shopapp.jobs.models import ChangeOrder, Job
from shopapp.jobs.services import change_answers, changing
from shopapp.jobs.services.batches import request_batch
from shopapp.jobs.services.comebacks import open_comeback

FOUND = (
    ("The panel behind the bow display is soft; a backing plate is needed.", "Backing plate"),
    ("The tube is full: the cable goes along the gunwale, with clips.", "Cable along the gunwale"),
)
REPORTED = "The new display restarts when the engine is cranked."


def make_changes(cast: Cast) -> None:
    """One change agreed on a job in work, one that waits for the customer, one comeback."""
    rows = Job.objects.of(cast.shop).select_related("technician", "boat")
    for job, what, yes in zip(rows.filter(state="on_job"), FOUND, (True, False), strict=False):
        _change(job, *what, yes=yes)
    closed = rows.filter(state="closed", comeback_of=None).order_by("-closed_at").first()
    if closed is not None:
        open_comeback(job=closed, cause="unknown", words=REPORTED, by=cast.people["wren"])
    packs = Job.objects.of(cast.shop).filter(state="closed", quote__isnull=False)
    packs = packs.exclude(documents__kind="handover")
    if packs.exists():
        request_batch(shop=cast.shop, kind="handover", jobs=packs, by=cast.people["marta"])
    for number, job in enumerate(rows.filter(state="scheduled")):
        Job.objects.filter(pk=job.pk).update(planned_from=time(8 + 2 * (number % 3), 30))


def _change(job: Job, found: str, work: str, *, yes: bool) -> None:
    by = job.technician
    change = changing.begin_change(job=job, ground="found", found=found, wishes=[], by=by)
    try:
        change = changing.choose_plan(change=change, option=1, by=by)
    except ShopError:
        change = ChangeOrder.objects.get(pk=change.pk)  # no plan in the time of a page: lines alone
    change = changing.add_by_hand(change=change, words=work, minutes=45, cents=0, by=by)
    change = changing.offer_change(change=change, by=by)
    if yes:
        change_answers.agree_change(
            change=change,
            name="the owner",
            how="phone",
            note="Three quarters of an hour more, read back and agreed.",
            by=by,
        )
