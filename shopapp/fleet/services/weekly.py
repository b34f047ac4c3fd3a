"""The week's sheet and the night's check, by the desk's clock: each once, whoever comes first."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import IntegrityError, transaction
from django.template.loader import render_to_string
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat
from shopapp.errors import MoveRefused
from shopapp.fleet.models import Recheck
from shopapp.fleet.services.campaigns import find_all_again
from shopapp.fleet.services.rechecks import recheck_all
from shopapp.fleet.services.tallies import current_tally
from shopapp.fleet.weekly import MONTHS, facts_of_week
from shopapp.jobs.models import Document, FleetSheet, Letter
from shopapp.jobs.services.letters import site_link, write_letter
from shopapp.jobs.services.papers import request_document
from shopapp.roles import ACTIONS

NIGHT_HOUR = 2
BY_CLOCK = "All boats, by the clock"
READERS = ACTIONS["fleet.edit"]


def last_sunday(day: date) -> date:
    """The last day of the last whole week, Monday to Sunday."""
    return day - timedelta(days=day.isoweekday())


def day_at(shop: Shop, now: datetime | None = None) -> datetime:
    """The moment by the shop's clock."""
    return (now or timezone.now()).astimezone(ZoneInfo(shop.time_zone))


def make_weekly_sheets(now: datetime | None = None) -> int:
    """The sheet of the last whole week for every shop with boats that has none; how many."""
    made = 0
    for shop in Shop.objects.filter(pk__in=Boat.objects.current().order_by().values("shop")):
        ends_on = last_sunday(day_at(shop, now).date())
        if not FleetSheet.objects.of(shop).filter(ends_on=ends_on).exists():
            made += make_sheet(shop=shop, ends_on=ends_on) is not None
    return made


def make_sheet(*, shop: Shop, ends_on: date) -> FleetSheet | None:
    """Keep what the week's sheet says, ask for its paper, write to who runs the shop.

    None where another worker was first.
    """
    current_tally(shop=shop, months=MONTHS)  # a large fleet is counted for the next sheet
    facts = facts_of_week(shop, ends_on)
    try:
        with transaction.atomic():
            sheet = FleetSheet.objects.create(shop=shop, ends_on=ends_on, facts=facts)
            paper = request_document(kind=Document.DocumentKind.WEEKLY, by=None, sheet=sheet)
            _write(sheet, paper)
    except IntegrityError:
        return None
    return sheet


def make_now(*, shop: Shop) -> FleetSheet:
    """The sheet of the last whole week at once; MoveRefused where it is there."""
    ends_on = last_sunday(day_at(shop).date())
    sheet = make_sheet(shop=shop, ends_on=ends_on)
    if sheet is None:
        raise MoveRefused(
            f"The sheet of the week to {ends_on.day} {ends_on:%b %Y} is there already.",
            todo="The next one is written on Monday.",
        )
    return sheet


def _write(sheet: FleetSheet, paper: Document) -> None:
    shop, day = sheet.shop, f"{sheet.ends_on.day} {sheet.ends_on:%b %Y}"
    people = User.objects.filter(shop=shop, is_active=True, role__in=READERS).exclude(email="")
    for person in people.order_by("pk"):
        facts = {"sheet": sheet, "person": person, "day": day, "link": site_link("fleet:weekly")}
        write_letter(
            shop=shop,
            about=Letter.About.WEEKLY,
            once=f"weekly-{shop.pk}-{sheet.ends_on}-{person.pk}",
            to=person.email,
            subject=f"{shop.name}: the fleet in the week to {day}",
            body=render_to_string("fleet/weekly_letter.txt", facts),
            paper=paper,
        )


def check_by_night(now: datetime | None = None) -> int:
    """From two in the morning on, once a day: every boat is checked, every campaign looks again."""
    asked = 0
    for shop in Shop.objects.filter(pk__in=Boat.objects.current().order_by().values("shop")):
        local = day_at(shop, now)
        night = local.replace(hour=NIGHT_HOUR, minute=0, second=0, microsecond=0)
        checked = Recheck.objects.of(shop).filter(why=BY_CLOCK, asked_at__gte=night)
        if local >= night and not checked.exists():
            asked += recheck_all(shop=shop, why=BY_CLOCK) is not None
    return asked + (find_all_again() if asked else 0)
