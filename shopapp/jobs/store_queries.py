"""What the store's pages read, in a fixed number of queries however much is open."""

from dataclasses import dataclass, field
from typing import Any

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Sum

from shopapp.accounts.models import Shop
from shopapp.jobs.job_queries import WITHOUT_PLAN
from shopapp.jobs.models import Job, PickLine, PickList
from shopapp.jobs.services.scanning import last_scan
from shopapp.stock.models import Piece, PurchaseLine, PurchaseOrder

OPEN = [PickList.State.OPEN, PickList.State.STAGED]
WORDS_LIMIT = 8
# What a list asks for next, and which lists that are.
STEPS = {
    "short": "Short",
    "pick": "To pick",
    "stage": "To stage",
    "staged": "Staged",
    "issued": "Issued",
}


def pick_lists_found(shop: Shop, asked: dict[str, str]) -> QuerySet[PickList]:
    """Pick lists by words (`q`), `step` and `part`; open ones, those of the soonest jobs first."""
    rows = PickList.objects.filter(job__shop=shop)
    step = asked.get("step", "")
    rows = _at_step(rows, step)
    for word in asked.get("q", "").split()[:WORDS_LIMIT]:
        boat = Q(job__boat__search__contains=word.lower())
        rows = rows.filter(Q(job__number__icontains=word) | boat | Q(job__title__icontains=word))
    if asked.get("part", "").isdecimal():
        part = int(asked["part"][:9])
        rows = rows.filter(Exists(PickLine.objects.filter(pick_list=OuterRef("pk"), part=part)))
    rows = rows.select_related("job__boat", "job__customer", "job__technician")
    rows = rows.defer(*(f"job__{name}" for name in WITHOUT_PLAN))
    return rows.order_by(F("job__planned_on").asc(nulls_last=True), "pk")


def _at_step(rows: QuerySet[PickList], step: str) -> QuerySet[PickList]:
    lines = PickLine.objects.filter(pick_list=OuterRef("pk"))
    missing = lines.filter(spare=False, picked__lt=F("wanted"))
    if step == "issued":
        return rows.filter(state=PickList.State.ISSUED)
    if step == "staged":
        return rows.filter(state=PickList.State.STAGED)
    if step == "short":
        late = lines.filter(spare=False).filter(Q(state="short") | Q(ordered__gt=0))
        return rows.filter(Exists(late), state__in=OPEN)
    if step == "pick":
        return rows.filter(
            Exists(lines.filter(reserved__gt=F("picked"), issued=0)), state=PickList.State.OPEN
        )
    if step == "stage":
        return rows.filter(~Exists(missing), state=PickList.State.OPEN)
    return rows.filter(state__in=OPEN)


@dataclass
class ListRow:
    """One pick list of the overview, with pieces wanted, here, picked and missing."""

    pick_list: PickList
    wanted: int = 0
    reserved: int = 0
    ordered: int = 0
    picked: int = 0

    @property
    def short(self) -> int:
        """Pieces reserved nowhere."""
        return max(self.wanted - self.reserved - self.ordered, 0)


def list_rows(lists: list[PickList]) -> list[ListRow]:
    """The lists with their counts; one query."""
    rows = {one.pk: ListRow(one) for one in lists}
    lines = PickLine.objects.filter(pick_list__in=rows, spare=False).order_by()
    sums = {name: Sum(name) for name in ("wanted", "reserved", "ordered", "picked", "issued")}
    for found in lines.values("pick_list").annotate(**sums):
        row = rows[found["pick_list"]]
        row.wanted, row.ordered = found["wanted"], found["ordered"]
        row.reserved, row.picked = found["reserved"] + found["issued"], found["picked"]
    return list(rows.values())


@dataclass
class PickPage:
    """All that the page of one pick list shows."""

    job: Job
    pick_list: PickList | None
    lines: list[PickLine] = field(default_factory=list)
    boxes: dict[int, list[Piece]] = field(default_factory=dict)
    last: Any = None

    @property
    def whole(self) -> bool:
        """Whether every part that is no mere spare is picked."""
        return all(line.picked >= line.wanted for line in self.lines if not line.spare)

    @property
    def open(self) -> bool:
        """Whether pieces may still be picked."""
        return self.pick_list is not None and self.pick_list.state in OPEN

    @property
    def short(self) -> bool:
        """Whether a part that is no mere spare is not here."""
        return any(line.short and not line.spare for line in self.lines)

    def rows(self) -> list[tuple[PickLine, list[Piece]]]:
        """Each line with its boxes in the tote."""
        return [(line, self.boxes.get(line.part_id, [])) for line in self.lines]


def pick_page(job: Job) -> PickPage:
    """The job's pick list as the counter sees it; four queries."""
    pick_list = job.pick_lists.exclude(state=PickList.State.CANCELLED).first()
    if pick_list is None:
        return PickPage(job, None)
    rows = pick_list.lines.select_related(
        "part", "stock", "instead_of", "purchase_line__order__supplier"
    )
    page = PickPage(job, pick_list, list(rows), last=last_scan(pick_list))
    with_us = [Piece.State.TOTE, Piece.State.OUT, Piece.State.FITTED]
    boxes = Piece.objects.filter(shop=job.shop_id, ref=job.number, state__in=with_us)
    for piece in boxes:
        page.boxes.setdefault(piece.part_id, []).append(piece)
    return page


def orders_found(shop: Shop, asked: dict[str, str]) -> QuerySet[PurchaseOrder]:
    """Purchase orders by words (`q`: number, supplier, part), `state` ("open" is all not ended)."""
    rows = PurchaseOrder.objects.of(shop).select_related("supplier")
    state = asked.get("state", "open")
    if state == "open":
        rows = rows.exclude(state__in=["received", "closed", "cancelled"])
    elif state in PurchaseOrder.State.values:
        rows = rows.filter(state=state)
    for word in asked.get("q", "").split()[:WORDS_LIMIT]:
        part = Q(Exists(_lines_with(word)))
        rows = rows.filter(Q(number__icontains=word) | Q(supplier__name__icontains=word) | part)
    return rows.prefetch_related("lines")


def _lines_with(word: str) -> QuerySet:
    return PurchaseLine.objects.filter(order=OuterRef("pk"), part__search__contains=word.lower())
