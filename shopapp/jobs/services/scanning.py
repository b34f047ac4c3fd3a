"""A scan at the parts counter: which piece it is, whether the list wants it, and undo."""

from dataclasses import dataclass

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.catalog.models import Part
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Job, PickLine, PickList, PickScan
from shopapp.jobs.services.picking import locked_list, put_in_tote, reopen
from shopapp.stock.models import Piece

LONGEST_CODE = 80
NAMED = 4


@dataclass(frozen=True)
class Scanned:
    """What a scan did: the line it counted on, and the box where its serial was read."""

    line: PickLine
    piece: Piece | None

    @property
    def words(self) -> str:
        """What to say at the counter."""
        of = f"{self.line.picked} of {self.line.wanted}"
        serial = f", serial {self.piece.serial}" if self.piece else ""
        return f"{self.line.part.number} {self.line.part.name}{serial}: {of} picked."


@transaction.atomic
def scan_piece(*, job: Job, code: str, by: User) -> Scanned:
    """Count one piece by its bar code, part number or serial.

    FactRefused (`code`) in words that say what the piece is and what the list wants where it is
    the wrong part, is picked enough already, or is not reserved; nothing is counted then.
    """
    code = " ".join(code.replace("\0", "").split())[:LONGEST_CODE]
    pick_list = locked_list(job)
    lines = list(pick_list.lines.select_related("part", "stock"))
    piece, part = read_code(shop_id=job.shop_id, code=code, lines=lines)
    line = _line_for(part, piece, lines, code)
    _check_serial_asked(line, piece)
    if piece is not None:
        _take_box(job, piece)
    put_in_tote(line=line, step=1, ref=job.number, by=by)
    line.save(update_fields=["picked", "state"])
    PickScan.objects.create(pick_list=pick_list, line=line, piece=piece, code=code, by=by)
    return Scanned(line, piece)


def read_code(*, shop_id: int, code: str, lines: list[PickLine]) -> tuple[Piece | None, Part]:
    """What a code names: a box by its serial, or a part; the list's own parts first."""
    if not code:
        raise FactRefused("Scan a bar code, or type a part number or serial.", field="code")
    rows = Piece.objects.filter(shop=shop_id, serial__iexact=code)
    pieces = list(rows.select_related("part", "stock"))
    wanted = {line.part_id for line in lines}
    if pieces:
        piece = next((one for one in pieces if one.part_id in wanted), pieces[0])
        return piece, piece.part
    named = Q(barcode__iexact=code) | Q(number__iexact=code)
    parts = list(Part.objects.filter(named, shop=shop_id))
    if not parts:
        raise FactRefused(
            f"No part and no box has the code “{code}”.",
            field="code",
            todo="Scan again, or type the part number; a new bar code is noted on the part's page.",
        )
    return None, next((part for part in parts if part.pk in wanted), parts[0])


def _line_for(part: Part, piece: Piece | None, lines: list[PickLine], code: str) -> PickLine:
    same = [line for line in lines if line.part_id == part.pk and not line.issued]
    open_ones = [line for line in same if line.picked < line.reserved]
    if piece is not None:
        _check_box(piece)
        here = [line for line in open_ones if line.stock_id == piece.stock_id]
        if open_ones and not here:
            raise FactRefused(
                f"Serial {piece.serial} lies at {piece.stock.place} by the books; "
                f"this list takes {part.number} from {open_ones[0].stock.place}.",
                field="code",
                todo="Take the box from there, or move the stock first.",
            )
        open_ones = here
    if open_ones:
        return open_ones[0]
    raise FactRefused(_why_not(part, same, lines), field="code", todo=_todo(same))


def _why_not(part: Part, same: list[PickLine], lines: list[PickLine]) -> str:
    if not same:
        left = [line for line in lines if line.picked < line.wanted]
        named = ", ".join(f"{line.part.number} ({line.part.name})" for line in left[:NAMED])
        more = " and more" if len(left) > NAMED else ""
        wants = f"It still wants {named}{more}." if left else "It wants nothing more."
        return f"Wrong part: {part.number} ({part.name}) is not on this list. {wants}"
    reserved = sum(line.reserved for line in same)
    if reserved:
        every = f"All {reserved} that are" if reserved > 1 else "The one that is"
        return f"Enough of {part.number}: {every} reserved lies in the tote already."
    return f"{part.number} is short on this list: none is reserved for it."


def _todo(same: list[PickLine]) -> str:
    if not same:
        return "Put it back where it lay."
    if any(line.reserved for line in same):
        return "Put this one back, or change the count by hand."
    return "Reserve what has come in first, then scan again."


def _check_box(piece: Piece) -> None:
    words = {
        Piece.State.TOTE: f"is in the tote of {piece.ref} already",
        Piece.State.OUT: f"went out to {piece.ref} by the books",
        Piece.State.FITTED: f"was fitted under {piece.ref} by the books",
        Piece.State.SCRAPPED: "was scrapped by the books",
        Piece.State.ASIDE: "is set aside and may not be used",
    }
    if piece.state in words:
        raise FactRefused(
            f"{piece.part.number} serial {piece.serial} {words[Piece.State(piece.state)]}.",
            field="code",
            todo="Look at the box again and at the part's page.",
        )


def _check_serial_asked(line: PickLine, piece: Piece | None) -> None:
    if piece is not None or line.part.kind != Part.PartKind.EQUIPMENT:
        return
    boxes = Piece.objects.filter(stock=line.stock, state=Piece.State.HERE)
    known = list(boxes.values_list("serial", flat=True)[: NAMED + 1])
    if known and boxes.count() >= line.stock.in_bin:
        raise FactRefused(
            f"Scan the serial of {line.part.number}: every box here has one on record "
            f"({', '.join(known[:NAMED])}{' …' if len(known) > NAMED else ''}).",
            field="code",
        )


def _take_box(job: Job, piece: Piece) -> None:
    rows = Piece.objects.filter(pk=piece.pk, state=Piece.State.HERE)
    if not rows.update(state=Piece.State.TOTE, ref=job.number):
        raise MoveRefused(f"Somebody else took serial {piece.serial} first.")


@transaction.atomic
def undo_scan(*, job: Job, by: User) -> PickScan:
    """Take back the last scan of the list that still counts; MoveRefused where there is none."""
    pick_list = locked_list(job)
    scan = last_scan(pick_list)
    if scan is None or not scan.line.picked or scan.line.issued:
        raise MoveRefused("No scan of this list is left to take back.")
    rows = PickScan.objects.filter(pk=scan.pk, undone_at=None)
    if not rows.update(undone_at=timezone.now()):
        raise MoveRefused("This scan was taken back already.", todo="Load the page again.")
    put_in_tote(line=scan.line, step=-1, ref=job.number, by=by)
    scan.line.save(update_fields=["picked", "state"])
    if pick_list.state == PickList.State.STAGED:
        reopen(pick_list)
    if scan.piece_id:
        boxes = Piece.objects.filter(pk=scan.piece_id, state=Piece.State.TOTE, ref=job.number)
        boxes.update(state=Piece.State.HERE, ref="")
    return scan


def last_scan(pick_list: PickList) -> PickScan | None:
    """The newest scan that counts."""
    rows = pick_list.scans.filter(undone_at=None, line__issued=0)
    return rows.select_related("line__part", "line__stock", "piece").first()
