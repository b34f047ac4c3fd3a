"""Stock-taking by place: a sheet of what should lie there, what was counted, why it differs."""

from collections.abc import Mapping

from django.db import IntegrityError, transaction
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.catalog.models import Part
from shopapp.errors import FactRefused, MoveRefused
from shopapp.stock.counts import MOST_PIECES
from shopapp.stock.models import CountRow, CountSheet, Movement, StockItem
from shopapp.stock.services import item_at, try_book

State = CountSheet.State


@transaction.atomic
def open_sheet(*, shop: Shop, place: str, by: User) -> CountSheet:
    """A sheet of all parts at a place as the books have them; pieces in totes do not lie there.

    FactRefused (`place`) where nothing has ever lain there, or it is being counted already.
    """
    place = " ".join(place.split())
    items = StockItem.objects.filter(shop=shop, place__iexact=place).select_related("part")
    rows = [item for item in items if item.on_hand or not item.part.retired_at]
    if not rows:
        raise FactRefused(f"Nothing lies at “{place}” by the books.", field="place")
    try:
        with transaction.atomic():
            sheet = CountSheet.objects.create(shop=shop, place=rows[0].place, made_by=by)
    except IntegrityError as error:
        raise FactRefused(f"{rows[0].place} is being counted already.", field="place") from error
    CountRow.objects.bulk_create(
        CountRow(sheet=sheet, stock=item, expected=item.in_bin) for item in rows
    )
    return sheet


@transaction.atomic
def add_found(*, sheet: CountSheet, part: Part) -> CountRow:
    """A part that lies there though the books do not say so: a row that expects none."""
    _check_open(sheet)
    item = item_at(part=part, place=sheet.place)
    row, _ = CountRow.objects.get_or_create(
        sheet=sheet, stock=item, defaults={"expected": item.in_bin}
    )
    return row


@transaction.atomic
def write_counts(*, sheet: CountSheet, counts: Mapping[int, tuple[int | None, str]]) -> None:
    """Keep what is counted so far: row -> (pieces or None, reason); nothing is booked yet."""
    _check_open(sheet)
    rows = list(sheet.rows.filter(pk__in=counts))
    for row in rows:
        row.counted, row.reason = counts[row.pk][0], counts[row.pk][1].strip()[:100]
        if row.counted is not None and not 0 <= row.counted <= MOST_PIECES:
            raise FactRefused(f"From 0 to {MOST_PIECES:,} pieces.", field=f"row-{row.pk}")
    CountRow.objects.bulk_update(rows, ["counted", "reason"])


@transaction.atomic
def book_sheet(*, sheet: CountSheet, by: User) -> int:
    """Book the differences, each with its reason; rows that differ.

    What moved while the count went on is not lost: the difference is booked, not the figure.
    FactRefused (`row-<pk>` or `reason-<pk>`) where a row is not counted, not explained, or would
    leave less than is reserved. The sheet is booked once.
    """
    sheet = CountSheet.objects.select_for_update().get(pk=sheet.pk)
    _check_open(sheet)
    rows = list(sheet.rows.select_related("stock__part"))
    for row in rows:
        _check_row(row)
    changed = [row for row in rows if row.difference]
    for row in changed:
        _book_row(sheet, row, by)
    facts = {"state": State.BOOKED, "booked_by": by, "booked_at": timezone.now()}
    CountSheet.objects.filter(pk=sheet.pk).update(**facts)
    return len(changed)


def _check_row(row: CountRow) -> None:
    part = row.stock.part.number
    if row.counted is None:
        raise FactRefused(f"{part} is not counted.", field=f"row-{row.pk}")
    if row.difference and not row.reason:
        more = "more" if row.difference > 0 else "fewer"
        raise FactRefused(
            f"{part}: {abs(row.difference)} {more} than should be there. Say why.",
            field=f"reason-{row.pk}",
        )


def _book_row(sheet: CountSheet, row: CountRow, by: User) -> None:
    done = try_book(
        row.stock,
        Movement.MoveKind.ADJUST,
        on_hand=row.difference,
        reason=row.reason,
        ref=f"count {sheet.pk}",
        by=by,
    )
    if not done:
        raise FactRefused(
            f"{row.stock.part.number}: more of it is reserved for jobs than was counted.",
            field=f"row-{row.pk}",
            todo="Count again; or give a job's reservation back first.",
        )


@transaction.atomic
def drop_sheet(*, sheet: CountSheet) -> None:
    """Throw an open sheet away; nothing is booked."""
    if not CountSheet.objects.filter(pk=sheet.pk, state=State.OPEN).update(state=State.DROPPED):
        _refuse(sheet)


def _check_open(sheet: CountSheet) -> None:
    if not CountSheet.objects.filter(pk=sheet.pk, state=State.OPEN).exists():
        _refuse(sheet)


def _refuse(sheet: CountSheet) -> None:
    sheet.refresh_from_db()
    raise MoveRefused(
        f"The count of {sheet.place} is “{sheet.get_state_display()}”.",
        todo="Begin a new count of the place.",
    )


def last_counted(shop: Shop) -> dict[str, object]:
    """Place -> when it was last counted; the longest ago is counted next."""
    rows = CountSheet.objects.filter(shop=shop, state=State.BOOKED).order_by("booked_at")
    return dict(rows.values_list("place", "booked_at"))
