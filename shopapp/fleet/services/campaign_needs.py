"""What each boat of a campaign needs, from the planner: steps, parts, minutes."""

from typing import Any

from django.db import transaction

from shopapp.fleet.models import CampaignBoat, CampaignNeed, CampaignWork
from shopapp.fleet.remedies import Needs, needs_of


def work_out_needs(work: CampaignWork) -> dict[str, Any]:
    """Ask the planner for each boat; twice is as good as once."""
    rows = CampaignBoat.objects.left().filter(pk__in=work.rows)
    rows = rows.select_related("boat__shop", "campaign__bulletin__part", "campaign__shop")
    left_out = []
    made = 0
    for row in rows.order_by("pk"):
        needs = needs_of(row)
        keep_needs(row, needs)
        if needs.fault:
            left_out.append([row.boat.name, needs.fault])
        made += not needs.fault
    return {"made": made, "left_out": left_out}


@transaction.atomic
def keep_needs(row: CampaignBoat, needs: Needs) -> None:
    """Keep what a boat needs, in place of what was kept before."""
    facts = None
    if not needs.fault:
        facts = {
            "wishes": needs.wishes,
            "sentence": needs.sentence,
            "steps": needs.steps,
            "updates": needs.updates,
            "bought": needs.bought,
        }
    CampaignBoat.objects.filter(pk=row.pk).update(
        needs=facts, needs_fault=needs.fault[:300], minutes=needs.minutes
    )
    CampaignNeed.objects.filter(row=row).delete()
    CampaignNeed.objects.bulk_create(
        CampaignNeed(row=row, part_id=part, count=count)
        for part, count in needs.parts.items()
        if count
    )
