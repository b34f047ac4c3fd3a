"""The pick list at the parts counter: what is picked, and what has come in for short lines."""

from collections.abc import Mapping

from django.db import transaction
from django.db.models import F, Max

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Job, PickLine, PickList
from shopapp.jobs.services.moves import move_job
from shopapp.jobs.services.releasing import drop_order
from shopapp.stock.models import Movement, Piece
from shopapp.stock.services import book, reserve

OPEN = (PickList.State.OPEN, PickList.State.STAGED)
Kind = Movement.MoveKind


def open_list(job: Job) -> PickList | None:
    """The job's list that still may be picked, None where there is none."""
    return job.pick_lists.filter(state__in=OPEN).first()


@transaction.atomic
def count_picked(*, job: Job, counts: Mapping[int, int], by: User) -> PickList:
    """Write how many of each line are picked; what is put back opens a staged list again.

    `counts` maps the line's number to pieces. FactRefused where more is picked than is
    reserved (`field="line-<pk>"`); MoveRefused where the list is issued or gone.
    """
    pick_list = locked_list(job)
    lines = list(pick_list.lines.select_related("part", "stock"))
    for line in lines:
        if not line.issued:
            _count_line(job, line, counts.get(line.pk, line.picked), by)
    PickLine.objects.bulk_update(lines, ["picked", "state"])
    if pick_list.state == PickList.State.STAGED and not is_whole(lines):
        reopen(pick_list)
    return pick_list


def _count_line(job: Job, line: PickLine, count: int, by: User) -> None:
    _check_count(line, count)
    step = count - line.picked
    if step:
        put_in_tote(line=line, step=step, ref=job.number, by=by)
        _give_boxes_back(job, line)


def put_in_tote(*, line: PickLine, step: int, ref: str, by: User) -> None:
    """Pieces into the tote, or out of it where `step` is below zero; the line unsaved."""
    kind = Kind.PICK if step > 0 else Kind.UNPICK
    book(line.stock, kind, picked=step, ref=ref, by=by)
    line.picked += step
    line.settle_state()


def _give_boxes_back(job: Job, line: PickLine) -> None:
    in_tote = Piece.objects.filter(
        shop=job.shop_id, ref=job.number, part=line.part, state=Piece.State.TOTE, stock=line.stock
    )
    for piece in in_tote.order_by("-pk")[: max(in_tote.count() - line.picked, 0)]:
        piece.state, piece.ref = Piece.State.HERE, ""
        piece.save(update_fields=["state", "ref"])


def _check_count(line: PickLine, count: int) -> None:
    if not 0 <= count <= line.reserved:
        raise FactRefused(
            f"{line.part.number}: {line.reserved} are reserved, so {count} cannot be picked.",
            field=f"line-{line.pk}",
            todo="Reserve what has come in first." if count > line.reserved else "",
        )


def is_whole(lines: list[PickLine]) -> bool:
    """Whether every part that is not a mere spare lies in the tote or is out already."""
    return all(line.picked >= line.wanted for line in lines if not line.spare)


def reopen(pick_list: PickList) -> None:
    """A staged list is open again: its lines are picked, not yet checked by eye."""
    pick_list.lines.filter(state=PickLine.State.STAGED).update(state=PickLine.State.PICKED)
    pick_list.state = PickList.State.OPEN
    pick_list.save(update_fields=["state"])


@transaction.atomic
def reserve_short(*, job: Job, by: User | None) -> int:
    """Reserve what has come in for the short lines; pieces found. A whole list makes it ready."""
    pick_list = locked_list(job)
    rows = pick_list.lines.filter(reserved=0, issued=0).select_related("part", "pick_list__job")
    found = sum(fill_line(line=line, by=by) for line in rows.order_by("part", "position"))
    make_ready(job=job, pick_list=pick_list, by=by)
    return found


def make_ready(*, job: Job, pick_list: PickList, by: User | None) -> None:
    """A job that waited is ready once nothing but a spare is short."""
    still = [line for line in pick_list.lines.all() if line.short and not line.spare]
    job.refresh_from_db(fields=["state", "version"])
    if not still and job.state == Job.State.WAITING:
        move_job(job=job, after=Job.State.READY, by=by, note="The parts are here.")


def fill_line(*, line: PickLine, by: User | None, most: int | None = None) -> int:
    """Reserve for a short line (`most` pieces at most), which splits by shelf; pieces found."""
    count = line.wanted if most is None else min(most, line.wanted)
    taken = reserve(part=line.part, count=count, ref=line.pick_list.job.number, by=by)
    if not taken:
        return 0
    pieces = sum(count for _, count in taken)
    order, was_ordered, whole = line.purchase_line, line.ordered, line.wanted
    drop_order(line)
    line.stock, line.wanted = taken[0]
    line.reserved = line.wanted
    line.settle_state().save()
    for stock, count in taken[1:]:
        add_line(like=line, wanted=count, stock=stock, reserved=count)
    if whole > pieces:
        rest = min(was_ordered, whole - pieces)
        add_line(like=line, wanted=whole - pieces, **speak_again(order, rest))
    return pieces


def speak_again(order: object, count: int) -> dict[str, object]:
    """What of an order's line stays spoken for by the rest of a split line."""
    if not count or order is None:
        return {}
    rows = type(order).objects.filter(pk=order.pk, quantity__gte=F("spoken") + count)
    got = rows.update(spoken=F("spoken") + count)
    return {"purchase_line": order, "ordered": count} if got else {}


def add_line(*, like: PickLine, **facts: object) -> PickLine:
    """One more line for the same part, at the end of the list."""
    last = PickLine.objects.filter(pick_list=like.pick_list_id).aggregate(last=Max("position"))
    kept = ("pick_list_id", "part_id", "instead_of_id", "spare", "note")
    line = PickLine(position=last["last"] + 1, **{name: getattr(like, name) for name in kept})
    for name, value in facts.items():
        setattr(line, name, value)
    line.settle_state().save()
    return line


def locked_list(job: Job) -> PickList:
    """The list that may be picked, locked; MoveRefused where it is issued or gone."""
    pick_list = PickList.objects.select_for_update().filter(job=job, state__in=OPEN).first()
    if pick_list is None:
        raise MoveRefused(f"The pick list of {job} is no longer open.", todo="Load the page again.")
    return pick_list
