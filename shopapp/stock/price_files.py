"""A supplier's price file: read row by row, shown before it counts, taken whole or not at all."""

import csv
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from io import StringIO

from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.catalog.models import Part, Supplier
from shopapp.errors import FactRefused, MoveRefused, UploadRefused
from shopapp.money import round_cents
from shopapp.stock.models import PriceFile, SupplierPrice
from shopapp.stock.models.supply import MOST_CENTS, MOST_LEAD_DAYS

MOST_BYTES = 2_000_000
MOST_ROWS = 20_000
LONGEST_CELL = 200
# What a column may be called; the first row names them, in any order.
COLUMNS = {
    "part": ("part", "part number", "our number", "number", "item"),
    "price": ("price", "cost", "net", "net price"),
    "their": ("their number", "supplier number", "supplier's number", "order code"),
    "days": ("days", "lead days", "lead time", "lead time days"),
}
MUST_HAVE = ("part", "price")


@dataclass(frozen=True)
class Broken:
    """A cell that cannot be right: its line (from 1), its column's name, what is wrong."""

    line: int
    column: str
    text: str
    words: str


@dataclass(frozen=True)
class Priced:
    """A row that can be taken; `before` is what the supplier asked until now, None for nothing."""

    line: int
    part: Part
    price_cents: int
    before: int | None
    their: str = ""
    days: int | None = None

    @property
    def changes(self) -> bool:
        """Whether the price is new or another one."""
        return self.before != self.price_cents


@dataclass
class Read:
    """A file read whole: rows that can be taken, cells that are broken, parts that we lack."""

    rows: list[Priced] = field(default_factory=list)
    broken: list[Broken] = field(default_factory=list)
    unknown: list[tuple[int, str]] = field(default_factory=list)

    @property
    def sound(self) -> bool:
        """Whether the file may be taken."""
        return bool(self.rows) and not self.broken


def keep_file(*, supplier: Supplier, name: str, body: bytes, by: User) -> PriceFile:
    """Keep an uploaded file to be looked at; UploadRefused where it is no text or too large."""
    if len(body) > MOST_BYTES:
        raise UploadRefused(
            f"The file has {len(body):,} bytes; {MOST_BYTES:,} are taken.", field="file"
        )
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = body[: error.start].count(b"\n") + 1
        raise UploadRefused(
            f"Line {line} is no UTF-8 text.",
            field="file",
            todo="Save the file as “CSV UTF-8” and send it again.",
        ) from error
    if "\0" in text:
        raise UploadRefused("This is no text file.", field="file", todo="Save it as CSV.")
    _header(text)
    facts = {"supplier": supplier, "name": name[:120] or "price file", "text": text, "by": by}
    return PriceFile.objects.create(shop_id=supplier.shop_id, **facts)


def read_file(price_file: PriceFile) -> Read:
    """Read a kept file against today's catalogue; three queries whatever its length."""
    parts = {part.number.casefold(): part for part in Part.objects.filter(shop=price_file.shop_id)}
    prices = SupplierPrice.objects.filter(supplier=price_file.supplier_id)
    before = dict(prices.values_list("part", "price_cents"))
    columns, rows = _header(price_file.text)
    found, seen = Read(), {}
    for line, cells in rows:
        if line > MOST_ROWS + 1:
            found.broken.append(Broken(line, "", "", f"More than {MOST_ROWS:,} rows."))
            break
        _read_row(found, seen, parts, before, line, _named(columns, cells), len(cells))
    return found


def _header(text: str) -> tuple[dict[str, tuple[int, str]], Iterator[tuple[int, list[str]]]]:
    """Column -> its place and its name in the file; then the rows, with their line."""
    first = text.split("\n", 1)[0]
    comma = max(",;\t", key=first.count)
    reader = csv.reader(StringIO(text, newline=""), delimiter=comma)
    try:
        names = [cell.strip() for cell in next(reader, [])]
    except csv.Error as error:
        raise UploadRefused(f"Line 1 cannot be read: {error}.", field="file") from error
    columns = {
        key: (place, name)
        for key, known in COLUMNS.items()
        for place, name in enumerate(names)
        if name.casefold() in known
    }
    missing = [key for key in MUST_HAVE if key not in columns]
    if missing:
        raise UploadRefused(
            f"Line 1 names no column “{' and no column “'.join(missing)}”.",
            field="file",
            todo="The first line names the columns: part, price; their number, days where known.",
        )
    return columns, _rows(reader)


def _rows(reader: "csv._reader") -> Iterator[tuple[int, list[str]]]:
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield reader.line_num, [cell.strip()[: LONGEST_CELL + 1] for cell in cells]
    except csv.Error as error:
        raise UploadRefused(
            f"Line {reader.line_num} cannot be read: {error}.", field="file"
        ) from error


def _named(columns: dict[str, tuple[int, str]], cells: list[str]) -> dict[str, tuple[str, str]]:
    """Column -> (its name in the file, the cell's text)."""
    return {
        key: (name, cells[place] if place < len(cells) else "")
        for key, (place, name) in columns.items()
    }


def _read_row(
    found: Read,
    seen: dict[int, int],
    parts: dict[str, Part],
    before: dict[int, int],
    line: int,
    row: dict[str, tuple[str, str]],
    cells: int,
) -> None:
    broken = [*_broken_cells(row, line, cells)]
    number = row["part"][1]
    part = parts.get(number.casefold())
    if part is not None and part.pk in seen:
        words = f"{number} stands on line {seen[part.pk]} already."
        broken.append(Broken(line, row["part"][0], number, words))
    found.broken += broken
    if broken:
        return
    if part is None:
        found.unknown.append((line, number))
        return
    seen[part.pk] = line
    days = row.get("days", ("", ""))[1]
    found.rows.append(
        Priced(
            line=line,
            part=part,
            price_cents=_cents(row["price"][1]),
            before=before.get(part.pk),
            their=row.get("their", ("", ""))[1][:60],
            days=int(days) if days else None,
        )
    )


def _broken_cells(row: dict[str, tuple[str, str]], line: int, cells: int) -> Iterator[Broken]:
    name, number = row["part"]
    if not number:
        yield Broken(line, name, "", "The part number is missing.")
    name, price = row["price"]
    words = _wrong_price(price)
    if words:
        yield Broken(line, name, price, words)
    name, days = row.get("days", ("", ""))
    if days and not (days.isascii() and days.isdigit() and int(days[:6]) <= MOST_LEAD_DAYS):
        yield Broken(line, name, days, f"Days are a whole number up to {MOST_LEAD_DAYS}.")
    for name, text in row.values():
        if len(text) > LONGEST_CELL:
            yield Broken(line, name, text[:40], f"More than {LONGEST_CELL} characters.")


def _wrong_price(text: str) -> str:
    if not text:
        return "The price is missing."
    try:
        cents = _cents(text)
    except (InvalidOperation, ValueError):
        return "Write a price like 1234.56."
    if cents < 0:
        return "A price cannot be below zero."
    return f"More than {MOST_CENTS // 100:,} cannot be right." if cents > MOST_CENTS else ""


def _cents(text: str) -> int:
    plain = text.replace(",", "").lstrip("$€£").strip()
    if not plain.removeprefix("-").replace(".", "", 1).isdigit() or not plain.isascii():
        raise ValueError(text)
    amount = Decimal(plain)
    if -amount.as_tuple().exponent > 2:
        raise ValueError(text)
    return round_cents(amount * 100)


@transaction.atomic
def take_file(*, price_file: PriceFile, by: User) -> int:
    """Write all the file's prices, or none; prices new or changed. Taken once.

    FactRefused where a row is broken (the first is named), MoveRefused where it was taken already.
    """
    found = read_file(price_file)
    if found.broken:
        one = found.broken[0]
        raise FactRefused(f"Line {one.line}, column “{one.column}”: {one.words}")
    if not found.rows:
        raise FactRefused("No row of this file names a part of the catalogue.")
    changed = sum(row.changes for row in found.rows)
    rows = PriceFile.objects.filter(pk=price_file.pk, state=PriceFile.State.WAITING)
    now = timezone.now()
    if not rows.update(state=PriceFile.State.TAKEN, taken_at=now, changed=changed, by=by):
        raise MoveRefused("This file was taken or dropped already.", todo="Send it again.")
    _write(price_file, found)
    return changed


def _write(price_file: PriceFile, found: Read) -> None:
    today = timezone.localdate()
    SupplierPrice.objects.bulk_create(
        [
            SupplierPrice(
                shop_id=price_file.shop_id,
                supplier_id=price_file.supplier_id,
                part=row.part,
                number=row.their,
                price_cents=row.price_cents,
                lead_days=row.days,
                seen_on=today,
            )
            for row in found.rows
        ],
        batch_size=500,
        update_conflicts=True,
        unique_fields=["supplier", "part"],
        update_fields=["number", "price_cents", "lead_days", "seen_on"],
    )


@transaction.atomic
def drop_file(*, price_file: PriceFile) -> None:
    """Throw a file away that was only looked at."""
    rows = PriceFile.objects.filter(pk=price_file.pk, state=PriceFile.State.WAITING)
    if not rows.update(state=PriceFile.State.DROPPED):
        raise MoveRefused("This file was taken or dropped already.")
