"""Bulletins and campaigns over a small fleet, by a word each."""

from datetime import timedelta

from django.utils import timezone

from shopapp.boats.models import Evidence, Unit
from shopapp.catalog.models import Update
from shopapp.customers.models import Phone
from shopapp.fleet.models import Bulletin
from shopapp.fleet.services.bulletins import enter_bulletin
from shopapp.fleet.services.campaigns import open_campaign


def seen(boat, *, fact="release", days_ago=1, how="bus"):
    """A fact of every unit of the boat was seen so many days ago."""
    at = timezone.now() - timedelta(days=days_ago)
    for unit in Unit.objects.filter(boat=boat):
        value = unit.model.code if fact == "model" else getattr(unit.release, "name", "")
        Evidence.objects.create(boat=boat, unit=unit, fact=fact, value=value, how=how, seen_at=at)
    return boat


def lead_on(fleet):
    """The display's update from 1.0 to 2.0 exists and takes 25 minutes."""
    return Update.objects.create(
        model=fleet.display,
        from_release=fleet.releases["1.0"],
        to_release=fleet.releases["2.0"],
        minutes=25,
    )


def bulletin(fleet, by, **facts):
    """A bulletin; the display's 1.0 withdrawn unless said otherwise."""
    facts = {
        "kind": "withdrawn",
        "title": "Display restarts under load",
        "source": "Maker's bulletin 7, invented",
        "issued_on": timezone.localdate() - timedelta(days=3),
        "release": fleet.releases["1.0"],
    } | facts
    return enter_bulletin(bulletin=Bulletin(**facts), by=by)


def campaign(fleet, by, **facts):
    """The running campaign of a bulletin; what waits for the commit is the caller's."""
    return open_campaign(bulletin=bulletin(fleet, by, **facts), by=by)


def reachable(boat, number="555-0100", email="owner@example.com"):
    """The boat's owner has a number and an address."""
    Phone.objects.create(customer=boat.customer, number=number)
    boat.customer.email = email
    boat.customer.save()
    return boat
