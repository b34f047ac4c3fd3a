"""The demo's bulletins: a release withdrawn, an update urged, a lead recalled, with calls made."""

from datetime import date, timedelta

from django.db.models import Count, Q

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat
from shopapp.catalog.models import Part, Release
from shopapp.fleet.models import Bulletin, Campaign, CampaignBoat, CampaignWork
from shopapp.fleet.services.bulletins import enter_bulletin
from shopapp.fleet.services.calling import note_answer
from shopapp.fleet.services.campaigns import advance_work, ask_work, open_campaign, rows_for

# A larger fleet is left to the workers, as in a shop.
WORKED_UP_TO = 300
CALLS = (
    ("yes", {"way": "phone", "name": "The owner"}),
    ("yes", {"way": "text", "name": "The owner's partner"}),
    ("none", {"way": "phone"}),
    ("told", {"way": "phone", "note": "Thinks it over until the weekend."}),
    ("declined", {"note": "Their letter is in the file."}),
    ("none", {"way": "phone", "note": "Voice mail."}),
)


def make_campaigns(*, shop: Shop, people: dict[str, User], today: date) -> None:
    """A campaign well under way, one behind its day, one just begun."""
    by = people["marta"]
    urged = _urged(shop)
    if urged is None:
        return
    first = _open(
        by, kind="urged", release=urged, payer="maker", issued_on=today - timedelta(days=25),
        due_on=today + timedelta(days=60), title=f"{urged.model} loses its picture after a day",
        source="Maker's note 31, invented",
    )  # fmt: skip
    withdrawn = Release.objects.filter(model__shop=shop, withdrawn=True).order_by("pk").first()
    if withdrawn is not None:
        _open(
            by, kind="withdrawn", release=withdrawn, payer="shop", safety=True,
            issued_on=today - timedelta(days=50), due_on=today - timedelta(days=2),
            title=f"{withdrawn.model} may restart under way",
            source="Maker's notice 7, invented",
        )  # fmt: skip
    lead = Part.objects.of(shop).filter(kind="adapter", adapter_for__isnull=False).first()
    if lead is not None:
        _open(
            by, kind="recalled", part=lead, payer="maker", minutes=20, issued_on=today,
            due_on=today + timedelta(days=90), title="Adapter leads may corrode at the plug",
            source="Maker's recall 3, invented",
        )  # fmt: skip
    if Boat.objects.of(shop).count() <= WORKED_UP_TO:
        _work(shop)
        _call(first, by)
        _work(shop)


def _urged(shop: Shop) -> Release | None:
    """The newest release of the model with the most units behind it."""
    behind = Q(model__units__state="fitted", model__units__release__isnull=False)
    rows = Release.objects.filter(model__shop=shop, withdrawn=False, updates_in__isnull=False)
    rows = rows.filter(model__kind__in=["radar", "sounder"])
    return rows.annotate(n=Count("model__units", filter=behind)).order_by("-n", "-rank").first()


def _open(by: User, **facts: object) -> Campaign:
    row = enter_bulletin(bulletin=Bulletin(**facts), by=by)
    return open_campaign(bulletin=row, by=by)


def _work(shop: Shop) -> None:
    for pk in CampaignWork.objects.of(shop).unfinished().order_by("pk").values_list("pk"):
        advance_work(*pk)


def _call(campaign: Campaign, by: User) -> None:
    rows = campaign.boats.left().filter(needs__isnull=False).order_by("finding", "pk")
    for row, (said, facts) in zip(rows, CALLS, strict=False):
        note_answer(row=row, said=said, by=by, seen=CampaignBoat.State.NOT_TOLD, **facts)
    ask_work(campaign=campaign, what="jobs", rows=rows_for(campaign, "jobs"), by=by)
