"""The weekly sheet: new recurring problems, rising ones, campaigns behind, stale quotes."""

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from django.db.models import Count, F, Q

from planner.models import Statement
from planner.statements.queries import catalogue_of
from shopapp.accounts.models import Shop
from shopapp.boats.models import Boat
from shopapp.fleet.asking import start_of
from shopapp.fleet.campaign_queries import is_behind, progress_of
from shopapp.fleet.figures import before_and_after, percent, wilson
from shopapp.fleet.impact import quotes_against
from shopapp.fleet.models import BoatStanding, Campaign, Combination, KnownProblem, Tally
from shopapp.jobs.models import FleetSheet, Problem, Quote

MONTHS = 12
WEEK = timedelta(days=7)
RISING_DAYS = 28
RISING_CHANCE = 0.05
RISING_LEAST = 3
LISTED = 40
Facts = dict[str, Any]


def facts_of_week(shop: Shop, ends_on: date) -> Facts:
    """All that the sheet of a week says, as plain data."""
    begins = ends_on - WEEK + timedelta(days=1)
    stale = list(_stale(shop, begins, ends_on))
    return {
        **_counts(shop, begins, ends_on),
        **_recurring(shop, ends_on),
        **_rising(shop, ends_on),
        **_behind(shop, ends_on),
        "new_known": _new_known(shop, begins, ends_on),
        "stale": stale[:LISTED],
        "stale_more": max(0, len(stale) - LISTED),
    }


def _noted(shop: Shop, first: date, last: date) -> Q:
    after = last + timedelta(days=1)
    return Q(noted_at__gte=start_of(first), noted_at__lt=start_of(after), shop=shop)


def _counts(shop: Shop, begins: date, ends_on: date) -> Facts:
    states = BoatStanding.objects.of(shop).order_by().values_list("state")
    found = dict(states.annotate(Count("pk")))
    week = Problem.objects.filter(_noted(shop, begins, ends_on)).count()
    before = Problem.objects.filter(_noted(shop, begins - WEEK, ends_on - WEEK)).count()
    return {
        "boats": Boat.objects.of(shop).current().order_by().count(),
        "wrong": found.get("wrong", 0),
        "not_known": found.get("not_known", 0),
        "notes": week,
        "notes_before": before,
    }


def _recurring(shop: Shop, ends_on: date) -> Facts:
    """Combinations that stand out now and did not in the sheet before."""
    tally = Tally.objects.newest(shop, MONTHS)
    if tally is None:
        return {"counted_on": "", "alarms": [], "new_recurring": []}
    names = "model", "release", "counterpart", "switch"
    rows = Combination.objects.filter(tally=tally, alarm=True, within=None)
    rows = list(rows.select_related(*names).order_by("place"))
    earlier = FleetSheet.objects.of(shop).filter(ends_on__lt=ends_on).first()
    known = set(earlier.facts.get("alarms", [])) if earlier else set()
    fresh = [row for row in rows if _key(row) not in known]
    return {
        "counted_on": f"{tally.ends_on.day} {tally.ends_on:%b %Y}",
        "alarms": [_key(row) for row in rows],
        "new_recurring": [_combination(row) for row in fresh[:LISTED]],
    }


def _key(row: Combination) -> str:
    keys = (row.model_id, row.release_id, row.counterpart_id, row.switch_id)
    return "-".join(str(key or 0) for key in keys)


def _combination(row: Combination) -> Facts:
    what = str(row.model)
    what += f" at {row.release}" if row.release else ""
    what += f" with {row.counterpart}" if row.counterpart else ""
    what += f" over {row.switch}" if row.switch else ""
    low, high = wilson(row.affected, row.at_risk)
    words = dict(Problem.Symptom.choices)
    most = sorted(row.symptoms.items(), key=lambda pair: -pair[1])[:2]
    return {
        "what": what,
        "seen": ", ".join(str(words.get(name, name)).lower() for name, _ in most),
        "affected": row.affected,
        "at_risk": row.at_risk,
        "share": f"{percent(row.affected / row.at_risk)} % ({percent(low)} to {percent(high)} %)",
    }


def _new_known(shop: Shop, begins: date, ends_on: date) -> list[Facts]:
    made = {
        "made_at__gte": start_of(begins),
        "made_at__lt": start_of(ends_on + timedelta(days=1)),
    }
    rows = KnownProblem.objects.of(shop).open_now().filter(**made).counted()
    return [{"what": str(row), "boats": row.boats} for row in rows[:LISTED]]


def _rising(shop: Shop, ends_on: date) -> Facts:
    """Known problems with more notes in 28 days than chance makes of the 28 before."""
    span = timedelta(days=RISING_DAYS)
    begins = ends_on - span + timedelta(days=1)
    inside = Q(gathered__ended_at__isnull=True)
    rows = KnownProblem.objects.of(shop).open_now().order_by("-made_at", "-pk")
    rows = rows.annotate(
        now=Count("gathered", filter=inside & _within(begins, ends_on)),
        before=Count("gathered", filter=inside & _within(begins - span, ends_on - span)),
    ).filter(Q(now__gt=0) | Q(before__gt=0))
    looked = list(rows)
    risen = [row for row in looked if _has_risen(row.now, row.before)]
    return {
        "rising_looked": len(looked),
        "rising": [
            {
                "what": str(row),
                "now": row.now,
                "before": row.before,
                "chance": f"{percent(before_and_after(row.before, row.now))} %",
            }
            for row in risen[:LISTED]
        ],
    }


def _within(first: date, last: date) -> Q:
    return Q(
        gathered__problem__noted_at__gte=start_of(first),
        gathered__problem__noted_at__lt=start_of(last + timedelta(days=1)),
    )


def _has_risen(now: int, before: int) -> bool:
    if now <= before or now < RISING_LEAST:
        return False
    return before_and_after(before, now) < RISING_CHANCE


def _behind(shop: Shop, ends_on: date) -> Facts:
    running = list(Campaign.objects.of(shop).running().select_related("bulletin"))
    progress = progress_of(running)
    late = [row for row in running if is_behind(row, progress[row.pk], ends_on)]
    return {
        "running": len(running),
        "behind": [
            {
                "what": str(row.bulletin),
                "safety": row.bulletin.safety,
                "due": f"{row.bulletin.due_on.day} {row.bulletin.due_on:%b %Y}",
                "done": progress[row.pk].done,
                "total": progress[row.pk].total,
                "not_told": progress[row.pk].counts.get("not_told", 0),
            }
            for row in late[:LISTED]
        ],
    }


def _stale(shop: Shop, begins: date, ends_on: date) -> Iterator[Facts]:
    """Open and sent quotes against a statement of the week, or whose boat's facts changed since."""
    after = start_of(ends_on + timedelta(days=1))
    states = (*Quote.OPEN_STATES, Quote.State.SENT)
    catalogue = catalogue_of(shop)
    reasons: dict[int, list[str]] = {}
    fresh = Statement.objects.filter(shop=shop).in_force()
    for row in fresh.filter(entered_at__gte=start_of(begins), entered_at__lt=after):
        for quote in quotes_against(shop, row.rule, states, catalogue):
            reasons.setdefault(quote, []).append(
                f"{row.code} came into force and stands against it"
            )
    changed = Quote.objects.of(shop).filter(
        state__in=states,
        boat__facts_changed_at__gte=start_of(begins),
        boat__facts_changed_at__lt=after,
        boat__facts_changed_at__gt=F("made_at"),
    )
    for quote in changed.order_by("pk").values_list("pk", flat=True):
        reasons.setdefault(quote, []).append("the boat's records changed after it was made")
    quotes = Quote.objects.filter(pk__in=reasons).select_related("boat").order_by("pk")
    for quote in quotes:
        yield {
            "quote": str(quote),
            "boat": quote.boat.name,
            "state": quote.get_state_display(),
            "why": "; ".join(reasons[quote.pk]),
        }
