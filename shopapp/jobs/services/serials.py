"""Serials on their way: read from the box when received, and from the unit when fitted.

A difference stops the line: the unit at the boat is not the one that was picked for it.
"""

from django.db.models import QuerySet

from shopapp.accounts.models import User
from shopapp.catalog.models import Part
from shopapp.errors import FactRefused
from shopapp.jobs.models import Job, PickLine, WorkStep
from shopapp.stock.models import Piece

ON_THE_WAY = (Piece.State.TOTE, Piece.State.OUT)


def boxes_of(job: Job, part: Part) -> QuerySet[Piece]:
    """The boxes of a part that went along to a job."""
    return Piece.objects.filter(
        shop=job.shop_id, ref=job.number, part=part, state__in=[*ON_THE_WAY, Piece.State.FITTED]
    )


def check_serial(*, step: WorkStep, part: Part | None, found: str) -> None:
    """FactRefused (`found`) where the serial is none of the job's boxes, or is taken already."""
    if part is None or not found:
        return
    known = {piece.serial.casefold(): piece for piece in boxes_of(step.job, part)}
    _check_other_step(step, found)
    if found.casefold() in known:
        return
    if known:
        raise FactRefused(
            f"The box for this job says {_named(known.values())}, the unit says {found}.",
            field="found",
            todo="Read it again. If it stays so, stop here: this is not the unit that was picked. "
            "Hold the job and ask the parts counter, who puts the serial or the box right.",
        )
    _check_other_job(step, part, found)


def _named(pieces: object) -> str:
    return " or ".join(sorted(piece.serial for piece in pieces))


def _check_other_step(step: WorkStep, found: str) -> None:
    other = (
        WorkStep.objects.filter(job=step.job_id, asks=WorkStep.Asks.SERIAL, found__iexact=found)
        .exclude(pk=step.pk)
        .first()
    )
    if other is not None:
        raise FactRefused(
            f"Serial {found} was read at “{other.title}” already.",
            field="found",
            todo="Two units have two serials: read both again.",
        )


def _check_other_job(step: WorkStep, part: Part, found: str) -> None:
    gone = [*ON_THE_WAY, Piece.State.FITTED]
    rows = Piece.objects.filter(part=part, serial__iexact=found, state__in=gone)
    piece = rows.exclude(ref=step.job.number).first()
    if piece is not None:
        raise FactRefused(
            f"By the books, {part.number} serial {found} belongs to {piece.ref or 'another job'}.",
            field="found",
            todo="Stop here and ask the parts counter which box is whose.",
        )


def fit_pieces(*, job: Job, line: PickLine) -> None:
    """At the close: boxes whose serial was read at the boat are fitted, the rest comes back."""
    read = set(
        job.steps.filter(asks=WorkStep.Asks.SERIAL, state=WorkStep.State.DONE)
        .exclude(found="")
        .values_list("found", flat=True)
    )
    if not read and not line.picked:
        return
    words = {word.casefold() for word in read}
    for piece in Piece.objects.filter(shop=job.shop_id, part=line.part_id).exclude(
        state__in=[Piece.State.SCRAPPED, Piece.State.FITTED]
    ):
        if piece.serial.casefold() in words and piece.ref in {"", job.number}:
            piece.state, piece.ref, piece.stock = Piece.State.FITTED, job.number, None
        elif piece.ref == job.number and piece.state == Piece.State.TOTE:
            piece.state, piece.ref = Piece.State.HERE, ""
        else:
            continue
        piece.save(update_fields=["state", "ref", "stock"])


def correct_serial(*, piece: Piece, serial: str, reason: str, by: User) -> Piece:
    """Put right what was typed at receiving; FactRefused for another piece's serial."""
    serial, reason = " ".join(serial.split()), reason.strip()
    if not serial:
        raise FactRefused("Write the serial.", field="serial")
    if not reason:
        raise FactRefused("Say why it changes.", field="reason")
    others = Piece.objects.filter(part=piece.part_id, serial__iexact=serial).exclude(pk=piece.pk)
    if others.exists():
        raise FactRefused(f"{serial} is another box of this part.", field="serial")
    piece.note = f"{by}: was {piece.serial}; {reason}"[:120]
    piece.serial = serial[:60]
    piece.save(update_fields=["serial", "note"])
    return piece
