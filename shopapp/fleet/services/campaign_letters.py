"""Write to the owners of a campaign's boats: rows that the mail's worker hands over."""

from typing import Any

from django.db import transaction
from django.template.loader import render_to_string

from shopapp.accounts.models import User
from shopapp.fleet.models import CampaignBoat, CampaignEntry, CampaignWork
from shopapp.jobs.models import Letter
from shopapp.jobs.services.letters import write_letter

NO_ADDRESS = "No e-mail address: call."


def write_letters(work: CampaignWork) -> dict[str, Any]:
    """One letter a boat and campaign, never a second; boats without an address are named."""
    rows = CampaignBoat.objects.left().filter(pk__in=work.rows)
    rows = rows.select_related("boat__customer", "campaign__bulletin", "campaign__shop")
    made, left_out = 0, []
    for row in rows.order_by("pk"):
        if row.boat.customer.email:
            made += write_to_owner(row=row, by=work.asked_by)
        else:
            left_out.append([row.boat.name, NO_ADDRESS])
    return {"made": made, "left_out": left_out}


@transaction.atomic
def write_to_owner(*, row: CampaignBoat, by: User | None) -> bool:
    """Queue the letter to a boat's owner and count the try; False where it was written before."""
    once = f"campaign-{row.campaign_id}-boat-{row.boat_id}"
    # Two workers wait for each other here, so that the try is counted once.
    row = CampaignBoat.objects.select_for_update(of=("self",)).get(pk=row.pk)
    if Letter.objects.filter(once=once).exists():
        return False
    campaign, boat = row.campaign, row.boat
    facts = {"row": row, "bulletin": campaign.bulletin, "boat": boat, "shop": campaign.shop}
    letter = write_letter(
        shop=campaign.shop,
        about=Letter.About.CAMPAIGN,
        once=once,
        to=boat.customer.email,
        subject=f"{campaign.shop.name}: {campaign.bulletin.title}, {boat.name}",
        body=render_to_string("fleet/campaign_letter.txt", facts),
        by=by,
    )
    if letter is None:
        return False
    row.tries += 1
    row.save(update_fields=["tries"])
    CampaignEntry.objects.create(
        row=row, way=CampaignEntry.Way.EMAIL, before=row.state, after=row.state, by=by,
        note=f"Letter written to {letter.to}.",
    )  # fmt: skip
    return True
