"""Count the fleet: asked for once, made by the worker, kept until the records change."""

from datetime import timedelta

from django.db import transaction
from django.db.models import Count, Max
from django.utils import timezone

from shopapp.accounts.models import Shop
from shopapp.boats.models import Boat
from shopapp.fleet.counting import Found, count_fleet
from shopapp.fleet.models import Combination, Tally
from shopapp.fleet.seeing import Period, boats_seen, last_looks, notes_seen, sums_by_slice
from shopapp.jobs.models import Problem
from shopapp.work.runner import advance
from shopapp.work.services import ring

KIND = "fleet_tally"
KEPT = 2000
SMALL_FLEET = 2000
FRESH_HOURS = 24


def mark_of(shop: Shop) -> str:
    """Changes whenever a note is added or a boat comes or goes; two queries."""
    notes = Problem.objects.of(shop).order_by().aggregate(n=Count("pk"), last=Max("pk"))
    boats = Boat.objects.of(shop).current().order_by().count()
    return f"{notes['n']}-{notes['last'] or 0}-{boats}"


def boats_in(mark: str) -> int:
    """How many boats the shop had at a mark."""
    return int(mark.rsplit("-", 1)[1])


def ask_tally(*, shop: Shop, months: int, mark: str) -> Tally:
    """Ask for a count, unless one of this period waits or runs already.

    A small fleet is counted at once; a large one by the worker.
    """
    waiting = Tally.objects.filter(shop=shop, months=months).unfinished().first()
    row = waiting or Tally.objects.create(
        shop=shop, months=months, mark=mark, ends_on=timezone.localdate()
    )
    if boats_in(mark) <= SMALL_FLEET:
        advance_tally(row.pk)
        row.refresh_from_db()
    elif waiting is None:
        ring(KIND, row.pk)
    return row


def current_tally(*, shop: Shop, months: int) -> tuple[Tally | None, Tally | None]:
    """The newest count, and the one under way where that is stale or missing."""
    mark = mark_of(shop)
    newest = Tally.objects.newest(shop, months)
    late = timezone.now() - timedelta(hours=FRESH_HOURS)
    if newest and newest.mark == mark and newest.finished_at > late:
        return newest, None
    asked = ask_tally(shop=shop, months=months, mark=mark)
    if asked.row_state == "ready":
        return asked, None
    return newest, asked


def advance_tally(pk: int) -> bool:
    """Make one count; whether this call finished it."""
    return advance(rows=Tally.objects.all(), pk=pk, make=_make)


def _make(tally: Tally) -> dict[str, object]:
    period = Period(tally.months, tally.ends_on)
    looks = last_looks(tally.shop)
    count = count_fleet(boats_seen(tally.shop, period, looks), notes_seen(tally.shop, period))
    kept = count.found[:KEPT]
    places = {one.key: place for place, one in enumerate(kept, 1)}
    with transaction.atomic():
        Combination.objects.filter(tally=tally).delete()
        Combination.objects.bulk_create((_row(tally, one, places) for one in kept), batch_size=500)
        _drop_old(tally)
    return {
        "boats": count.boats,
        "pairs": count.pairs,
        "affected_pairs": count.affected_pairs,
        "tested": count.tested,
        "years": count.years,
        "sums": sums_by_slice(tally.shop, period),
    }


def _drop_old(tally: Tally) -> None:
    older = Tally.objects.filter(shop=tally.shop_id, months=tally.months, row_state="ready")
    keep = list(older.order_by("-finished_at").values_list("pk", flat=True)[:1])
    older.exclude(pk__in=keep).delete()


def _row(tally: Tally, one: Found, places: dict) -> Combination:
    model, release, counterpart, switch = one.key
    return Combination(
        tally=tally,
        place=places[one.key],
        model_id=model,
        release_id=release or None,
        counterpart_id=counterpart or None,
        switch_id=switch or None,
        notes=one.notes,
        affected=one.affected,
        at_risk=one.at_risk,
        unknown=one.unknown,
        minutes_lost=one.minutes,
        chance=one.corrected,
        alarm=one.alarm,
        within=places.get(one.within),
        symptoms=dict(one.symptoms),
        by_slice=[
            [len(boats), round(years, 3)]
            for boats, years in zip(one.by_quarter, one.years, strict=True)
        ],
    )
