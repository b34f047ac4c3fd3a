"""What the pages of known problems read."""

from dataclasses import dataclass

from django.db.models import Max, Q, QuerySet, Sum

from shopapp.accounts.models import Shop
from shopapp.fleet.models import KnownMove, KnownProblem
from shopapp.jobs.models import Problem


def known_found(shop: Shop, asked: dict[str, str]) -> QuerySet[KnownProblem]:
    """Known problems by words (`q`), `symptom`, `cause` (yes, no), `state` (merged)."""
    merged = asked.get("state") == "merged"
    rows = KnownProblem.objects.of(shop).filter(merged_into__isnull=not merged)
    for word in asked.get("q", "").split()[:8]:
        own = Q(code__icontains=word) | Q(title__icontains=word) | Q(cause__icontains=word)
        rows = rows.filter(own | Q(model__name__icontains=word))
    if asked.get("symptom") in Problem.Symptom.values:
        rows = rows.filter(symptom=asked["symptom"])
    if asked.get("cause") in {"yes", "no"}:
        empty = Q(cause="")
        rows = rows.filter(empty if asked["cause"] == "no" else ~empty)
    last = Max("gathered__problem__noted_at", filter=Q(gathered__ended_at__isnull=True))
    rows = rows.counted().annotate(last=last)
    return rows.select_related("model", "counterpart", "merged_into").order_by(
        "-boats", "-last", "-pk"
    )


def notes_of(known: KnownProblem) -> QuerySet[Problem]:
    """The notes gathered in it now, newest first."""
    rows = Problem.objects.filter(gathered__known=known, gathered__ended_at__isnull=True)
    shown = ("boat", "job", "model", "release", "counterpart", "switch", "noted_by")
    return rows.select_related(*shown).defer("job__case", "job__plan", "job__ports")


@dataclass(frozen=True)
class Sums:
    """What it has cost: minutes, other money, claimed, come back."""

    minutes: int
    lost_cents: int
    claimed_cents: int
    recovered_cents: int
    labour_cents: int

    @property
    def all_cents(self) -> int:
        """Hours at the shop's rate and other money."""
        return self.labour_cents + self.lost_cents

    @property
    def recovered_words(self) -> str:
        """The share that came back, as a whole per cent; "" where nothing was lost."""
        return f"{round(100 * self.recovered_cents / self.all_cents)} %" if self.all_cents else ""


def sums_of(problems: QuerySet[Problem], shop: Shop) -> Sums:
    """Sums over notes; hours at what the shop asks for one now; one query."""
    names = ("minutes_lost", "lost_cents", "claimed_cents", "recovered_cents")
    found = problems.order_by().aggregate(*(Sum(name) for name in names))
    minutes, *cents = (found[f"{name}__sum"] or 0 for name in names)
    return Sums(minutes, *cents, labour_cents=round(minutes * shop.labour_cents_per_hour / 60))


def moves_of(known: KnownProblem) -> list[KnownMove]:
    """What was done to it, newest first, with the other side's moves too; one query."""
    rows = KnownMove.objects.filter(Q(known=known) | Q(other=known))
    return list(rows.select_related("known", "other", "by")[:50])
