"""What the pages of bulletins and campaigns ask for."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Count, F, IntegerField, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from shopapp.accounts.models import Shop
from shopapp.catalog.models import Part
from shopapp.fleet.models import Bulletin, Campaign, CampaignBoat, CampaignNeed, CampaignWork
from shopapp.stock.models import PurchaseLine, StockItem

State, Finding = CampaignBoat.State, CampaignBoat.Finding
IN_ORDER = (
    State.NOT_TOLD, State.TOLD, State.CHECKED, State.BOOKED, State.DONE, State.DECLINED,
    State.SOLD, State.LOST,
)  # fmt: skip
COMING = ("sent", "confirmed", "part_received")


@dataclass(frozen=True)
class Progress:
    """How far a campaign is, over all boats in scope, not over those reached."""

    counts: dict[str, int]

    @property
    def total(self) -> int:
        """Boats in scope."""
        return sum(self.counts.values())

    @property
    def done(self) -> int:
        """Boats put right."""
        return self.counts.get(State.DONE, 0)

    @property
    def ended(self) -> int:
        """Boats of which nothing more is expected, put right or not."""
        return sum(self.counts.get(state, 0) for state in CampaignBoat.ENDED)

    @property
    def percent(self) -> int:
        """Put right of those in scope, in whole per cent, rounded down."""
        return 100 * self.done // self.total if self.total else 0

    @property
    def told(self) -> int:
        """Boats whose owner was reached."""
        silent = (State.NOT_TOLD, State.LOST, State.SOLD)
        return self.total - sum(self.counts.get(state, 0) for state in silent)

    @property
    def rows(self) -> list[tuple[str, str, int]]:
        """Each state with its words and its boats, in the order of the work."""
        return [(str(state), state.label, self.counts.get(state, 0)) for state in IN_ORDER]


def bulletins_found(shop: Shop, asked: dict[str, str]) -> QuerySet[Bulletin]:
    """Bulletins by words, kind and whether their campaign runs."""
    rows = Bulletin.objects.of(shop)
    for word in asked.get("q", "").split():
        rows = rows.filter(
            Q(number__icontains=word) | Q(title__icontains=word) | Q(source__icontains=word)
        )
    if asked.get("kind") in Bulletin.Kind.values:
        rows = rows.filter(kind=asked["kind"])
    if asked.get("state") == "closed":
        rows = rows.filter(campaign__closed_at__isnull=False)
    elif asked.get("state") != "all":
        rows = rows.filter(Q(campaign__isnull=True) | Q(campaign__closed_at__isnull=True))
    names = ("release__model", "part", "statement", "campaign")
    return rows.select_related(*names)


def progress_of(campaigns: list[Campaign]) -> dict[int, Progress]:
    """How far each campaign is; one query."""
    rows = CampaignBoat.objects.filter(campaign__in=campaigns).in_scope().order_by()
    found: dict[int, dict[str, int]] = {campaign.pk: {} for campaign in campaigns}
    for campaign, state, count in rows.values_list("campaign", "state").annotate(Count("pk")):
        found[campaign][state] = count
    return {pk: Progress(counts) for pk, counts in found.items()}


def is_behind(campaign: Campaign, progress: Progress, today: date) -> bool:
    """Past its day with boats left, or less done than the share of its time that is gone."""
    due = campaign.bulletin.due_on
    left = progress.total - progress.ended
    if campaign.closed_at or due is None or not left:
        return False
    if due < today:
        return True
    begun = campaign.opened_at.date()
    days, gone = max(1, (due - begun).days), (today - begun).days
    return progress.ended * days < progress.total * gone


def boats_found(campaign: Campaign, asked: dict[str, str]) -> QuerySet[CampaignBoat]:
    """Its boats by state, finding and words; those that can hurt someone are a bulletin's own.

    Safest calls first: affected before to be checked, then by what is left to do.
    """
    rows = campaign.boats.select_related("boat__customer", "job", "quote")
    rows = rows.defer("needs", "job__case", "job__plan", "job__ports")
    if asked.get("finding") in Finding.values:
        rows = rows.filter(finding=asked["finding"])
    else:
        rows = rows.in_scope()
    if asked.get("state") in State.values:
        rows = rows.filter(state=asked["state"])
    elif asked.get("state") == "left":
        rows = rows.left()
    for word in asked.get("q", "").lower().split():
        rows = rows.filter(boat__search__contains=word)
    return rows.prefetch_related("boat__customer__phones").order_by("finding", "boat__name", "pk")


def findings_of(campaign: Campaign) -> dict[str, int]:
    """How many are affected and how many are to be checked, of those in scope."""
    rows = campaign.boats.in_scope().order_by().values_list("finding")
    return dict(rows.annotate(Count("pk")))


@dataclass(frozen=True)
class PartSum:
    """A part that boats of a campaign still need, against what lies on the shelves."""

    part: Part
    needed: int
    boats: int

    @property
    def short(self) -> int:
        """Pieces that neither lie free nor are on order for nobody."""
        return max(0, self.needed - self.part.free - self.part.coming)


def parts_of(campaign: Campaign) -> list[PartSum]:
    """What boats without a job still need in sum; a job has its own pick list. Two queries."""
    rows = CampaignNeed.objects.filter(row__in=campaign.boats.left(), row__job__isnull=True)
    sums = rows.order_by().values_list("part").annotate(Sum("count"), Count("row"))
    found = {part: (needed, boats) for part, needed, boats in sums}
    parts = Part.objects.filter(pk__in=found).annotate(free=_free(), coming=_coming())
    known = [PartSum(part, *found[part.pk]) for part in parts]
    return sorted(known, key=lambda row: (-row.short, row.part.number))


def _free() -> Coalesce:
    rows = StockItem.objects.to_give_out().filter(part=OuterRef("pk")).order_by().values("part")
    total = rows.annotate(n=Sum(F("on_hand") - F("reserved"))).values("n")
    return Coalesce(Subquery(total, output_field=IntegerField()), 0)


def _coming() -> Coalesce:
    rows = PurchaseLine.objects.filter(part=OuterRef("pk"), order__state__in=COMING)
    free = rows.filter(quantity__gt=F("spoken")).order_by().values("part")
    left = Sum(F("quantity") - F("received") - F("spoken"), default=0)
    total = free.annotate(n=left).values("n")
    return Coalesce(Subquery(total, output_field=IntegerField()), 0)


def minutes_left(campaign: Campaign) -> int:
    """Minutes that the boats without a job still ask for, as far as they are known."""
    rows = campaign.boats.left().filter(job__isnull=True)
    return rows.aggregate(n=Sum("minutes", default=0))["n"]


def works_of(campaign: Campaign) -> dict[str, object]:
    """The latest presses of each kind in sum, and whether one is still under way."""
    rows = list(campaign.works.order_by("-requested_at", "-pk")[:200])
    open_now = [row for row in rows if row.row_state in {"requested", "running"}]
    kinds = []
    for what in CampaignWork.What:
        own = [row for row in rows if row.what == what]
        if own:
            kinds.append(_summed(what, own))
    return {"kinds": kinds, "running": bool(open_now)}


def _summed(what: CampaignWork.What, rows: list[CampaignWork]) -> dict[str, object]:
    newest = rows[0].requested_at
    rows = [row for row in rows if (newest - row.requested_at).total_seconds() < 60]
    ready = [row for row in rows if row.row_state == "ready"]
    left_out = [pair for row in ready for pair in row.left_out]
    return {
        "words": what.label,
        "at": newest,
        "total": sum(row.total for row in rows),
        "over": sum(row.total for row in ready),
        "made": sum(row.made for row in ready),
        "left_out": left_out[:50],
        "more_left_out": max(0, len(left_out) - 50),
        "running": any(row.row_state in {"requested", "running"} for row in rows),
        "failed": [row.reason for row in rows if row.row_state == "failed"],
    }
