"""Find a campaign's boats, again and again: what was called or ended stays as people left it."""

from collections.abc import Iterable

from django.db import transaction
from django.utils import timezone

from shopapp.fleet.models import Campaign, CampaignBoat, CampaignNeed
from shopapp.fleet.reach import Found, boats_touched, found_among

CHUNK = 500
Finding, State = CampaignBoat.Finding, CampaignBoat.State
FIXED = (*CampaignBoat.ENDED, State.BOOKED)


def find_boats(*, campaign: Campaign) -> int:
    """Judge every boat that the bulletin could speak of; how many were looked at."""
    boats = set(boats_touched(campaign.bulletin))
    touched = len(boats)
    boats.update(campaign.boats.values_list("boat", flat=True))
    numbers = sorted(boats)
    for start in range(0, len(numbers), CHUNK):
        find_some(campaign=campaign, boats=numbers[start : start + CHUNK])
    in_scope = campaign.boats.in_scope().count()
    Campaign.objects.filter(pk=campaign.pk).update(
        found_at=timezone.now(), looked_at=touched, cleared=max(0, touched - in_scope)
    )
    return touched


@transaction.atomic
def find_some(*, campaign: Campaign, boats: Iterable[int]) -> None:
    """Judge some boats anew; those that are booked or at an end stay as they are."""
    boats = list(boats)
    rows = campaign.boats.filter(boat__in=boats).order_by("pk").select_for_update(of=("self",))
    known = {row.boat_id: row for row in rows}
    fresh, changed, stale = [], [], []
    for found in found_among(campaign.bulletin, boats):
        row = known.get(found.boat)
        if row is None:
            if found.finding != Finding.CLEARED:
                fresh.append(_row(campaign, found))
        elif row.state not in FIXED and _differs(row, found):
            if row.units != found.units:
                stale.append(row.pk)
                row.needs, row.needs_fault, row.minutes = None, "", None
            row.finding, row.units, row.why = found.finding, found.units, found.why
            changed.append(row)
    CampaignBoat.objects.bulk_create(fresh, batch_size=CHUNK, ignore_conflicts=True)
    CampaignNeed.objects.filter(row__in=stale).delete()
    CampaignBoat.objects.bulk_update(
        changed, ["finding", "units", "why", "needs", "needs_fault", "minutes"], batch_size=CHUNK
    )


def _row(campaign: Campaign, found: Found) -> CampaignBoat:
    return CampaignBoat(
        campaign=campaign,
        boat_id=found.boat,
        finding=found.finding,
        units=found.units,
        why=found.why,
    )


def _differs(row: CampaignBoat, found: Found) -> bool:
    return (row.finding, row.units, row.why) != (found.finding, found.units, found.why)
