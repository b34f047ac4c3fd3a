"""From a picked list to totes on the shelf, and from there into the technician's hands."""

from collections.abc import Collection

from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Document, Job, PickLine, PickList
from shopapp.jobs.models.picking import MOST_TOTES
from shopapp.jobs.services.moves import move_job
from shopapp.jobs.services.papers import request_document
from shopapp.jobs.services.picking import add_line, is_whole, locked_list, reopen
from shopapp.jobs.totes import ALWAYS_IN_THE_TOTE
from shopapp.stock.models import Piece
from shopapp.stock.services import give_back, hand_out

NAMED = 5


@transaction.atomic
def stage_list(
    *,
    job: Job,
    totes: int,
    extras: Collection[str],
    extras_why: str = "",
    split_reason: str = "",
    by: User,
) -> PickList:
    """Staged: checked by eye against the list, so many totes, the label asked for.

    FactRefused beside `totes`, `extras_why` or `split_reason` where something is missing and
    nobody says why it goes all the same. A job that waited for parts is ready then.
    """
    pick_list = locked_list(job)
    lines = list(pick_list.lines.select_related("part", "stock"))
    _check_staging(lines, totes, extras, extras_why, split_reason)
    for line in lines:
        _stage_line(line)
    pick_list.totes = totes
    pick_list.extras = [key for key in ALWAYS_IN_THE_TOTE if key in extras]
    pick_list.extras_why, pick_list.split_reason = extras_why.strip(), split_reason.strip()
    pick_list.state = PickList.State.STAGED
    pick_list.staged_by, pick_list.staged_at = by, timezone.now()
    pick_list.save()
    _tell_job(job, pick_list, by)
    request_document(kind=Document.DocumentKind.TOTE_LABEL, by=by, job=job)
    return pick_list


def _check_staging(
    lines: list[PickLine], totes: int, extras: Collection[str], why: str, split: str
) -> None:
    if not 1 <= totes <= MOST_TOTES:
        raise FactRefused(f"A job has from 1 to {MOST_TOTES} totes.", field="totes")
    if not any(line.picked for line in lines if not line.issued):
        raise MoveRefused("Nothing of this list is picked.", todo="Pick first, then stage.")
    left = [line for line in lines if not line.spare and line.picked < line.wanted]
    if left and not split.strip():
        named = ", ".join(f"{line.wanted - line.picked} × {line.part.number}" for line in left)
        raise FactRefused(
            f"Not all is picked: {named}.",
            field="split_reason",
            todo="Pick them, or say why the tote goes without them.",
        )
    out = [words for key, words in ALWAYS_IN_THE_TOTE.items() if key not in extras]
    if out and not why.strip():
        raise FactRefused(
            f"Not ticked: {'; '.join(out[:NAMED])}.",
            field="extras_why",
            todo="Add it to the tote, or say why it is left out.",
        )


def _stage_line(line: PickLine) -> None:
    if line.issued or not line.picked:
        return
    if line.picked < line.wanted:
        _split(line)
    line.state = PickLine.State.STAGED
    line.save()


def _split(line: PickLine) -> None:
    """What is picked goes, the rest of the line stays as a line of its own."""
    rest = {
        "wanted": line.wanted - line.picked,
        "reserved": line.reserved - line.picked,
        "stock": line.stock if line.reserved > line.picked else None,
    }
    line.wanted = line.reserved = line.picked
    line.save()
    add_line(like=line, **rest)


def _tell_job(job: Job, pick_list: PickList, by: User) -> None:
    job.refresh_from_db(fields=["state", "version"])
    if job.state == Job.State.WAITING:
        why = f"Staged without all parts: {pick_list.split_reason}"
        note = why if pick_list.split_reason else "All parts are staged."
        move_job(job=job, after=Job.State.READY, by=by, note=note)


@transaction.atomic
def unstage_list(*, job: Job, by: User) -> PickList:
    """Open a staged list again, for more to be picked or put back."""
    pick_list = locked_list(job)
    if pick_list.state == PickList.State.STAGED:
        reopen(pick_list)
    return pick_list


@transaction.atomic
def issue_list(*, job: Job, to: str, by: User) -> PickList:
    """Hand the totes over: what is staged leaves the shelf, in `to`'s name.

    A list of which something is still to come stays open for the second tote; spares that
    nobody picked lie free again. MoveRefused where the list is not staged.
    """
    pick_list = locked_list(job)
    if pick_list.state != PickList.State.STAGED:
        raise MoveRefused(
            f"The tote of {job} is not staged.", todo="Check it against the list and stage it."
        )
    lines = list(pick_list.lines.select_related("stock"))
    words = {"ref": job.number, "by": by}
    for line in lines:
        _issue_line(line, words)
    PickLine.objects.bulk_update(lines, ["state", "reserved", "issued"])
    boxes = Piece.objects.filter(shop=job.shop_id, ref=job.number, state=Piece.State.TOTE)
    boxes.update(state=Piece.State.OUT)
    whole = is_whole(lines)
    pick_list.state = PickList.State.ISSUED if whole else PickList.State.OPEN
    pick_list.issued_to, pick_list.issued_at = to.strip()[:120], timezone.now()
    pick_list.save(update_fields=["state", "issued_to", "issued_at"])
    return pick_list


def _issue_line(line: PickLine, words: dict[str, object]) -> None:
    if line.state == PickLine.State.STAGED:
        hand_out(stock=line.stock, count=line.picked, picked=line.picked, **words)
        line.issued, line.reserved = line.picked, 0
        line.settle_state()
    elif line.spare and line.reserved and not line.picked:
        give_back(stock=line.stock, count=line.reserved, **words)
        line.reserved, line.state = 0, PickLine.State.WANTED
