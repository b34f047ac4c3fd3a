"""What a rule would change: boats in service, open quotes, sent quotes; read in a stream."""

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import groupby
from operator import itemgetter
from typing import Any

from planner.standing import BROKEN, HOLDS, Aboard, judge, models_touched
from planner.statements.queries import catalogue_of
from planner.statements.selectors import Catalogue
from shopapp.accounts.models import Shop
from shopapp.boats.models import Boat, Unit
from shopapp.jobs.models import Quote, QuoteOption

CHUNK = 1000
NAMED = 200
Rule = dict[str, Any]
QUOTE_STATES = {"open": Quote.OPEN_STATES, "sent": ("sent",)}


def touched_boats(shop: Shop, rules: Iterable[Rule], catalogue: Catalogue) -> list[int]:
    """Boats in service that any of the rules can say something of, in order."""
    codes: set[str] = set()
    for rule in rules:
        models = models_touched(rule, catalogue)
        if models is None:
            return list(Boat.objects.of(shop).current().order_by("pk").values_list("pk", flat=True))
        codes |= models
    units = Unit.objects.aboard().filter(model__shop=shop, model__code__in=codes)
    units = units.filter(boat__shop=shop, boat__retired_at__isnull=True).order_by()
    return sorted(units.values_list("boat", flat=True).distinct())


def aboard_of(boats: Iterable[int]) -> Iterator[tuple[int, list[Aboard]]]:
    """What is aboard each of some boats; one query a thousand boats, none left out."""
    names = ("boat_id", "model__code", "release__name", "networked")
    for some in _batched(boats):
        rows = Unit.objects.aboard().filter(boat__in=some).order_by("boat_id", "pk")
        found = {
            boat: [Aboard(*facts) for _, *facts in group]
            for boat, group in groupby(rows.values_list(*names), key=itemgetter(0))
        }
        for boat in some:
            yield boat, found.get(boat, [])


def _batched(numbers: Iterable[int]) -> Iterator[list[int]]:
    some: list[int] = []
    for number in numbers:
        some.append(number)
        if len(some) == CHUNK:
            yield some
            some = []
    if some:
        yield some


def impact_of(*, shop: Shop, rule: Rule, old: Rule | None) -> dict[str, Any]:
    """Counts, and the first boats and quotes by number, that a rule in place of `old` changes."""
    catalogue = catalogue_of(shop)
    boats = touched_boats(shop, [rule, *([old] if old else [])], catalogue)
    counts: Counter = Counter()
    wrong: list[int] = []
    for boat, units in aboard_of(boats):
        now = judge(rule, units, catalogue)
        before = judge(old, units, catalogue) if old else HOLDS
        counts[now] += 1
        if now == BROKEN and before != BROKEN:
            counts["newly_wrong"] += 1
            wrong.append(boat)
        elif before == BROKEN and now == HOLDS:
            counts["put_right"] += 1
    return {
        "in_service": Boat.objects.of(shop).current().order_by().count(),
        "touched": len(boats),
        "broken": counts[BROKEN],
        "not_known": counts["not_known"],
        "newly_wrong": counts["newly_wrong"],
        "put_right": counts["put_right"],
        "boats": wrong[:NAMED],
        **{
            f"quotes_{name}": list(quotes_against(shop, rule, states, catalogue))[:NAMED]
            for name, states in QUOTE_STATES.items()
        },
    }


def quotes_against(
    shop: Shop, rule: Rule, states: Iterable[str], catalogue: Catalogue
) -> Iterator[int]:
    """Quotes in these states of which an option that is offered breaks the rule."""
    rows = QuoteOption.objects.filter(quote__shop=shop, quote__state__in=states, offered=True)
    rows = rows.order_by("quote_id", "position").values_list("quote_id", "plan")
    for quote, options in groupby(rows.iterator(chunk_size=200), key=itemgetter(0)):
        if any(judge(rule, _planned(plan), catalogue) == BROKEN for _, plan in options):
            yield quote


def _planned(plan: dict[str, Any]) -> list[Aboard]:
    return [
        Aboard(unit["model"], unit["release"], unit["networked"])
        for unit in plan.get("units", [])
        if unit["networked"]
    ]
