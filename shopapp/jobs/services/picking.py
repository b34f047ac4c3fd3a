"""The pick list at the parts counter: what is picked, and what has come in for short lines."""

from collections.abc import Mapping

from django.db import transaction

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Job, PickLine, PickList
from shopapp.jobs.services.moves import move_job
from shopapp.stock.services import reserve

OPEN = (PickList.State.OPEN, PickList.State.STAGED)


def open_list(job: Job) -> PickList | None:
    """The job's list that still may be picked, None where there is none."""
    return job.pick_lists.filter(state__in=OPEN).first()


@transaction.atomic
def count_picked(*, job: Job, counts: Mapping[int, int], by: User) -> PickList:
    """Write how many of each line are picked; the list is staged when every line is.

    `counts` maps the line's number to pieces. FactRefused where more is picked than is
    reserved (`field="line-<pk>"`); MoveRefused where the list is issued or gone.
    """
    pick_list = _locked_list(job)
    lines = list(pick_list.lines.select_related("part"))
    for line in lines:
        count = counts.get(line.pk, line.picked)
        _check_count(line, count)
        line.picked = count
    PickLine.objects.bulk_update(lines, ["picked"])
    whole = all(line.picked >= line.wanted for line in lines if not line.spare)
    pick_list.state = PickList.State.STAGED if whole else PickList.State.OPEN
    pick_list.save(update_fields=["state"])
    return pick_list


def _check_count(line: PickLine, count: int) -> None:
    if not 0 <= count <= line.reserved:
        raise FactRefused(
            f"{line.part.number}: {line.reserved} are reserved, so {count} cannot be picked.",
            field=f"line-{line.pk}",
            todo="Reserve what has come in first." if count > line.reserved else "",
        )


@transaction.atomic
def reserve_short(*, job: Job, by: User) -> int:
    """Reserve what has come in for the short lines; pieces found. A whole list makes it ready."""
    pick_list = _locked_list(job)
    found = sum(_fill(line) for line in pick_list.lines.filter(reserved=0).select_related("part"))
    still = [line for line in pick_list.lines.all() if line.short and not line.spare]
    job.refresh_from_db()
    if not still and job.state == Job.State.WAITING:
        move_job(job=job, after=Job.State.READY, by=by, note="The parts are here.")
    return found


def _fill(line: PickLine) -> int:
    taken = reserve(part=line.part, count=line.wanted)
    if not taken:
        return 0
    pieces = sum(count for _, count in taken)
    short = line.wanted - pieces
    last = line.pick_list.lines.order_by("-position").values_list("position", flat=True).first()
    rest = [*taken[1:], *([(None, short)] if short else [])]
    line.stock, line.wanted = taken[0]
    line.reserved = line.wanted
    line.save()
    for step, (stock, count) in enumerate(rest, start=1):
        PickLine.objects.create(
            pick_list=line.pick_list,
            position=last + step,
            part=line.part,
            wanted=count,
            stock=stock,
            reserved=count if stock else 0,
            spare=line.spare,
            note=line.note,
        )
    return pieces


def _locked_list(job: Job) -> PickList:
    pick_list = PickList.objects.select_for_update().filter(job=job, state__in=OPEN).first()
    if pick_list is None:
        raise MoveRefused(f"The pick list of {job} is no longer open.", todo="Load the page again.")
    return pick_list
