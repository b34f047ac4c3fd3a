"""What the workers and the desk's clock know of the fleet."""

from django.urls import reverse

from shopapp.fleet.models import CampaignWork, Lesson, RecheckPart, Tally
from shopapp.fleet.services.campaigns import KIND as CAMPAIGN
from shopapp.fleet.services.campaigns import advance_work
from shopapp.fleet.services.lessons import KIND as LESSON
from shopapp.fleet.services.lessons import advance_lesson
from shopapp.fleet.services.rechecks import KIND as RECHECK
from shopapp.fleet.services.rechecks import advance_part
from shopapp.fleet.services.tallies import KIND, advance_tally
from shopapp.fleet.services.weekly import check_by_night, make_weekly_sheets
from shopapp.work.chores import Chore, register_chore
from shopapp.work.registry import Kind, register

HOUR_SECONDS = 3600


def _address(row: CampaignWork) -> str:
    return reverse("fleet:bulletin", args=[row.campaign.bulletin_id])


register(Kind(KIND, Tally.objects.all, advance_tally))
register(Kind(LESSON, Lesson.objects.all, advance_lesson))
register(Kind(RECHECK, RecheckPart.objects.all, advance_part))
register(
    Kind(
        CAMPAIGN,
        CampaignWork.objects.all,
        advance_work,
        "work of campaigns",
        lambda rows: rows.select_related("campaign__bulletin").defer("rows", "left_out"),
        _address,
    )
)
register_chore(Chore("weekly sheet of the fleet", HOUR_SECONDS, make_weekly_sheets))
register_chore(Chore("nightly check of the fleet", HOUR_SECONDS, check_by_night))
