"""Run a campaign: open it, find its boats, and have the workers go over many of them."""

from collections.abc import Callable, Iterable
from typing import Any

from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat
from shopapp.errors import FactRefused, MoveRefused
from shopapp.fleet.models import Bulletin, Campaign, CampaignBoat, CampaignWork
from shopapp.fleet.services.campaign_find import find_boats, find_some
from shopapp.fleet.services.campaign_jobs import make_quotes_and_jobs
from shopapp.fleet.services.campaign_letters import write_letters
from shopapp.fleet.services.campaign_needs import work_out_needs
from shopapp.work.runner import advance
from shopapp.work.services import ring

KIND = "fleet_campaign"
What = CampaignWork.What
# How many boats a worker takes at a time, so that others get their turn.
AT_A_TIME = {What.NEEDS: 20, What.LETTERS: 200, What.JOBS: 10}
AT_ONCE = 5
SMALL_FLEET = 2000


@transaction.atomic
def open_campaign(*, bulletin: Bulletin, by: User) -> Campaign:
    """Begin to call the boats in; the one that runs already where there is one."""
    campaign, fresh = Campaign.objects.get_or_create(
        bulletin=bulletin, defaults={"shop": bulletin.shop, "opened_by": by}
    )
    if fresh:
        ask_find(campaign=campaign, by=by)
    return campaign


@transaction.atomic
def close_campaign(*, campaign: Campaign, by: User, note: str) -> None:
    """Nobody is called any more; FactRefused without a reason, MoveRefused a second time."""
    if not note.strip():
        raise FactRefused("Say why it ends, and what becomes of the boats left.", field="note")
    facts = {
        "closed_at": timezone.now(),
        "closed_by": by,
        "closed_note": note.strip()[:300],
    }
    if not Campaign.objects.running().filter(pk=campaign.pk).update(**facts):
        raise MoveRefused("This campaign is closed already.", todo="Look at the page anew.")


@transaction.atomic
def ask_find(*, campaign: Campaign, by: User | None) -> CampaignWork:
    """Have the boats found, by the records as they stand; one search at a time."""
    _check_running(campaign)
    waiting = campaign.works.filter(what=What.FIND).unfinished().first()
    if waiting:
        return waiting
    work = CampaignWork.objects.create(
        shop_id=campaign.shop_id, campaign=campaign, what=What.FIND, asked_by=by
    )
    boats = Boat.objects.of(campaign.shop_id).current().order_by().count()
    _begin([work], at_once=boats <= SMALL_FLEET)
    return work


@transaction.atomic
def ask_work(
    *, campaign: Campaign, what: str, rows: Iterable[int], by: User | None
) -> list[CampaignWork]:
    """Have the workers go over some boats of a campaign; a few at once.

    Boats that wait for the same already are left out: pressed twice is as good as once.
    """
    _check_running(campaign)
    open_works = campaign.works.filter(what=what).unfinished().values_list("rows", flat=True)
    waiting = {pk for numbers in open_works for pk in numbers}
    rows = sorted(set(rows) - waiting)
    size = AT_A_TIME[What(what)]
    works = CampaignWork.objects.bulk_create(
        CampaignWork(
            shop_id=campaign.shop_id,
            campaign=campaign,
            what=what,
            rows=rows[start : start + size],
            total=len(rows[start : start + size]),
            asked_by=by,
            in_bulk=len(rows) > size,
        )
        for start in range(0, len(rows), size)
    )
    _begin(works, at_once=len(rows) <= AT_ONCE)
    return works


def _check_running(campaign: Campaign) -> None:
    if not Campaign.objects.running().filter(pk=campaign.pk).exists():
        raise MoveRefused("This campaign is closed.", todo="Enter a new bulletin to go on.")


def _begin(works: list[CampaignWork], *, at_once: bool) -> None:
    for work in works:
        if at_once:
            transaction.on_commit(lambda pk=work.pk: advance_work(pk))
        else:
            ring(KIND, work.pk)


def advance_work(pk: int) -> bool:
    """Go over the boats of one piece of work; whether this call finished it."""
    rows = CampaignWork.objects.select_related("campaign__bulletin", "campaign__shop", "asked_by")
    return advance(rows=rows, pk=pk, make=_make)


def _make(work: CampaignWork) -> dict[str, Any]:
    if work.what == What.FIND:
        counts = find_boats(campaign=work.campaign)
        ask_work(
            campaign=work.campaign,
            what=What.NEEDS,
            rows=_without_needs(work.campaign),
            by=work.asked_by,
        )
        return {"total": counts, "made": counts}
    return MAKERS[What(work.what)](work)


def _without_needs(campaign: Campaign) -> list[int]:
    rows = campaign.boats.left().filter(needs__isnull=True, needs_fault="").order_by()
    return list(rows.values_list("pk", flat=True))


MAKERS: dict[str, Callable[[CampaignWork], dict[str, Any]]] = {
    What.NEEDS: work_out_needs,
    What.LETTERS: write_letters,
    What.JOBS: make_quotes_and_jobs,
}


def rows_for(campaign: Campaign, what: str) -> list[int]:
    """The boats that a press means: for letters those not told, for jobs those whose owner knows.

    Where the customer pays, a quote goes before the yes.
    """
    rows = campaign.boats.left().order_by()
    state = CampaignBoat.State
    if what == What.LETTERS:
        rows = rows.filter(state=state.NOT_TOLD)
    elif what == What.JOBS:
        rows = rows.filter(job__isnull=True, needs__isnull=False)
        if campaign.bulletin.payer == Bulletin.Payer.CUSTOMER:
            rows = rows.filter(state__in=[state.TOLD, state.CHECKED], quote__isnull=True)
        else:
            rows = rows.exclude(agreed="")
    return list(rows.values_list("pk", flat=True))


def look_again(*, shop: Shop, boats: list[int]) -> None:
    """Records of some boats changed: judge them anew in every campaign that runs."""
    running = Campaign.objects.of(shop).running().exclude(found_at=None)
    for campaign in running.select_related("bulletin__shop"):
        find_some(campaign=campaign, boats=boats)
        missing = campaign.boats.left().filter(boat__in=boats, needs__isnull=True, needs_fault="")
        numbers = list(missing.values_list("pk", flat=True))
        if numbers:
            ask_work(campaign=campaign, what=What.NEEDS, rows=numbers, by=None)


def find_all_again() -> int:
    """By the clock: every running campaign finds its boats anew; how many were asked for."""
    running = Campaign.objects.running().select_related("bulletin", "shop")
    return len([ask_find(campaign=campaign, by=None) for campaign in running])
