"""Check boats against the statements in force: the touched ones after a change, or all."""

from collections.abc import Iterable
from typing import Any

from django.db import transaction
from django.utils import timezone

from planner.models import Statement
from planner.standing import BROKEN, HOLDS, Aboard, judge, models_touched
from planner.statements.queries import catalogue_of
from planner.statements.selectors import Catalogue
from shopapp.accounts.models import Shop
from shopapp.boats.models import Boat
from shopapp.fleet.impact import aboard_of
from shopapp.fleet.models import BoatStanding, Recheck, RecheckPart
from shopapp.work.runner import advance
from shopapp.work.services import ring

KIND = "fleet_recheck"
AT_A_TIME = 500
AT_ONCE = 50
State = BoatStanding.State
Reasons = list[list[str]]


@transaction.atomic
def ask_recheck(*, shop: Shop, why: str, boats: Iterable[int]) -> Recheck | None:
    """Have some boats checked: a few at once, more by the workers; None where there are none."""
    boats = sorted(set(boats))
    if not boats:
        return None
    row = Recheck.objects.create(shop=shop, why=why[:200])
    some = [boats[start : start + AT_A_TIME] for start in range(0, len(boats), AT_A_TIME)]
    parts = RecheckPart.objects.bulk_create(
        RecheckPart(recheck=row, boats=numbers, total=len(numbers)) for numbers in some
    )
    transaction.on_commit(lambda: _begin(parts, at_once=len(boats) <= AT_ONCE))
    return row


def _begin(parts: list[RecheckPart], *, at_once: bool) -> None:
    for part in parts:
        if at_once:
            advance_part(part.pk)
        else:
            ring(KIND, part.pk)


def recheck_all(*, shop: Shop, why: str) -> Recheck | None:
    """Have every boat in service checked anew."""
    boats = Boat.objects.of(shop).current().order_by("pk").values_list("pk", flat=True)
    return ask_recheck(shop=shop, why=why, boats=boats)


def advance_part(pk: int) -> bool:
    """Check the boats of one part; whether this call finished it. Twice is as good as once."""
    rows = RecheckPart.objects.select_related("recheck__shop")
    return advance(rows=rows, pk=pk, make=_make)


def _make(part: RecheckPart) -> dict[str, object]:
    return check_boats(shop=part.recheck.shop, boats=part.boats)


class Judge:
    """The statements in force, read once; boats of the same make-up are judged once."""

    def __init__(self, shop: Shop) -> None:
        self.catalogue: Catalogue = catalogue_of(shop)
        rows = Statement.objects.filter(shop=shop).in_force().order_by("code")
        self.rules = [
            (code, rule, models_touched(rule, self.catalogue))
            for code, rule in rows.values_list("code", "rule")
        ]
        self._known: dict[tuple, tuple[str, Reasons]] = {}

    def of(self, units: list[Aboard]) -> tuple[str, Reasons]:
        """The state of a boat that carries these units, and the reasons."""
        key = tuple(sorted((u.model, u.release or "", str(u.networked)) for u in units))
        if key not in self._known:
            self._known[key] = self._judge(units)
        return self._known[key]

    def _judge(self, units: list[Aboard]) -> tuple[str, Reasons]:
        aboard = {unit.model for unit in units}
        reasons = []
        for code, rule, touched in self.rules:
            if touched is None or touched & aboard:
                found = judge(rule, units, self.catalogue)
                if found != HOLDS:
                    reasons.append([code, found])
        if any(found == BROKEN for _, found in reasons):
            return State.WRONG, reasons
        return (State.NOT_KNOWN if reasons else State.RIGHT), reasons


def check_boats(*, shop: Shop, boats: list[int]) -> dict[str, int]:
    """Check some boats and keep how they stand; how many became wrong, how many right again.

    A boat keeps its `since` while its state stays. Boats out of service lose their standing.
    """
    current = set(Boat.objects.of(shop).current().filter(pk__in=boats).values_list("pk", flat=True))
    before = BoatStanding.objects.of(shop).filter(boat__in=boats).in_bulk(field_name="boat_id")
    judge_of, now = Judge(shop), timezone.now()
    rows, counts = [], {"became_wrong": 0, "put_right": 0}
    for boat, units in aboard_of(sorted(current)):
        state, reasons = judge_of.of(units)
        old = before.get(boat)
        counts["became_wrong"] += state == State.WRONG and (not old or old.state != State.WRONG)
        counts["put_right"] += state != State.WRONG and bool(old) and old.state == State.WRONG
        since = old.since if old and old.state == state else now
        rows.append(
            BoatStanding(
                boat_id=boat, shop=shop, state=state, reasons=reasons, since=since, checked_at=now
            )
        )
    _keep(rows, [boat for boat in before if boat not in current])
    return counts


@transaction.atomic
def _keep(rows: list[BoatStanding], gone: list[int]) -> None:
    BoatStanding.objects.filter(boat__in=gone).delete()
    BoatStanding.objects.bulk_create(
        rows,
        batch_size=AT_A_TIME,
        update_conflicts=True,
        unique_fields=["boat"],
        update_fields=["state", "reasons", "since", "checked_at"],
    )


def same_as_full(*, shop: Shop) -> dict[int, tuple[str, Any]]:
    """How every boat in service stands if judged anew, without keeping it."""
    judge_of = Judge(shop)
    boats = Boat.objects.of(shop).current().order_by("pk").values_list("pk", flat=True)
    return {boat: judge_of.of(units) for boat, units in aboard_of(boats)}
