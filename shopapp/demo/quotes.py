"""The demo's quotes in every state, made by the shop's own services and dated back."""

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random
from typing import Any

from django.db.models import F, Q
from django.utils import timezone

from planner.models import PlanRun
from planner.services import start_plan
from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat
from shopapp.jobs.models import Assumption, Enquiry, Job, Move, Quote, QuoteOption
from shopapp.jobs.services.acceptance import accept_quote, decline_quote
from shopapp.jobs.services.lines import add_line
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.numbers import next_number
from shopapp.jobs.services.quotes import create_quote, revise_quote, settle_assumption
from shopapp.jobs.services.sending import send_quote

LINK = "https://desk.example/q/{token}/"
SWITCHES = {
    "Lantern": ["knot-5", "knot-5-b"],
    "Fjeld": ["fork-4", "fork-8"],
    "Slateboard": ["slatebox-5"],
}
# What people ask for, by family: (kind, models; none: any that fits)
ASKS: dict[str, tuple[tuple[str, tuple[str, ...]], ...]] = {
    "Lantern": (
        ("display", ("lantern-10-3", "lantern-12-4")),
        ("display", ()),
        ("sounder", ("plumb-1",)),
        ("radar", ("sweep-18", "sweep-24")),
        ("camera", ("peephole-2", "peephole-3")),
        ("sounder", ("plumb-live",)),
    ),
    "Fjeld": (
        ("display", ("fjeld-8-b", "fjeld-10-b")),
        ("radar", ("runde-20",)),
        ("camera", ("spyhole-1",)),
    ),
    "Slateboard": (
        ("display", ("slate-9", "slate-12")),
        ("radar", ("slatebox-dome",)),
        ("sounder", ("fathomer-3",)),
    ),
}
PLACES = {"radar": ("hardtop", "radar arch"), "camera": ("transom", "engine space")}
STATIONS = ("bow", "console", "helm", "cabin")
REASONS = ("Too dear this year.", "Sold the boat.", "Going to wait for the spring.")


@dataclass(slots=True)
class Cast:
    """The demo's shop, its people, its day and its dice."""

    shop: Shop
    people: dict[str, User]
    today: date
    random: Random
    words: dict[str, Any]


def make_run(cast: Cast, boat: Boat) -> PlanRun | None:
    """A feasible plan for something that an owner of this boat would ask for."""
    units = list(boat.units.select_related("model__family").order_by("pk"))
    families = [unit.model.family.name for unit in units if unit.model.kind == "display"]
    places = [place.name for place in boat.locations.order_by("pk")]
    aboard = {unit.model.kind for unit in units}
    # Nobody asks for a second radar or sounder.
    asks = [ask for ask in ASKS[families[0]] if ask[0] == "display" or ask[0] not in aboard]
    cast.random.shuffle(asks)
    for kind, models in asks:
        spots = [name for name in PLACES.get(kind, STATIONS) if name in places]
        wishes = {
            "requests": [
                {
                    "id": "wish-1",
                    "kind": "add",
                    "device": None,
                    "models": list(models),
                    "kind_wanted": kind,
                    "location": cast.random.choice(spots),
                    "networked": True,
                }
            ],
            "switches": switches_of(boat, families[0]),
            "options": 4,
        }
        run = start_plan(boat=boat, wishes=wishes, by=cast.people["wren"])
        if run.feasible:
            return run
    return None


def switches_of(boat: Boat, family: str) -> dict[str, Any]:
    """Which switches may be bought, and where they may go."""
    places = boat.locations.filter(switch_place=True).order_by("pk")
    return {
        "models": SWITCHES[family],
        "locations": [place.name for place in places][:2],
        "max_new": 2,
    }


def make_quote(cast: Cast, boat: Boat) -> Quote | None:
    """An enquiry, its plan and its quote, being built; None where nothing fits."""
    run = make_run(cast, boat)
    if run is None:
        return None
    enquiry = Enquiry.objects.create(
        shop=cast.shop,
        number=next_number(shop=cast.shop, series="E"),
        customer=boat.customer,
        boat=boat,
        came_by=cast.random.choice(Enquiry.Way.values),
        words=cast.random.choice(cast.words["asks"][run.wishes["requests"][0]["kind_wanted"]]),
        taken_by=cast.people["wren"],
    )
    quote = create_quote(run=run, by=cast.people["wren"], enquiry=enquiry)
    Enquiry.objects.filter(pk=enquiry.pk).update(state=Enquiry.State.QUOTED)
    return quote


def move_on(cast: Cast, quote: Quote, state: str) -> Quote:
    """Bring a fresh quote to one of its states, as people would."""
    wren = cast.people["wren"]
    if state in {"building", "survey"}:
        if state == "survey":
            move_quote(quote=quote, after="survey", by=wren, note="Nobody saw the bow wiring.")
        return quote
    if state == "replaced":
        quote = revise_quote(quote=quote, by=wren)
        facts = {"kind": "outside", "description": "Lift at the yard", "unit_cents": 280_00}
        add_line(option=quote.options.select_related("quote").first(), facts=facts)
        quote.refresh_from_db()
    settle(cast, quote)
    move_quote(quote=quote, after="ready", by=wren)
    if state == "ready":
        return quote
    send_quote(quote=quote, by=wren, link=LINK, subject_ok=True)
    quote.refresh_from_db()
    if state == "declined":
        name = quote.customer.name
        decline_quote(
            quote=quote, name=name, reason=cast.random.choice(REASONS), address="192.0.2.7"
        )
    return quote


def settle(cast: Cast, quote: Quote) -> None:
    """Ask the customer about what decides; some answers come, some stay open."""
    for assumption in Assumption.objects.filter(quote=quote).order_by("number"):
        state = cast.random.choice(("confirmed", "asked", "confirmed", "open"))
        if state != "open":
            settle_assumption(assumption=assumption, state=state, by=cast.people["wren"])


def accept(cast: Cast, quote: Quote) -> Job:
    """The customer accepts the first or second option."""
    options = list(QuoteOption.objects.filter(quote=quote, offered=True).order_by("position"))
    option = cast.random.choice(options[:2])
    return accept_quote(quote=quote, option=option, name=quote.customer.name, address="192.0.2.7")


def date_quote_back(quote: Quote, days: int) -> None:
    """Shift a quote, its enquiry, plan and moves into the past."""
    back = timedelta(days=days)
    family = Quote.objects.filter(Q(pk=quote.pk) | Q(replaced_by=quote.pk))
    pks = list(family.values_list("pk", flat=True))
    PlanRun.objects.filter(quotes__in=pks).update(
        requested_at=F("requested_at") - back, finished_at=F("finished_at") - back
    )
    Enquiry.objects.filter(quotes__in=pks).update(taken_at=F("taken_at") - back)
    Move.objects.filter(quote__in=pks).update(at=F("at") - back)
    for row in Quote.objects.filter(pk__in=pks):
        Quote.objects.filter(pk=row.pk).update(
            made_at=row.made_at - back,
            sent_at=row.sent_at and row.sent_at - back,
            answered_at=row.answered_at and row.answered_at - back,
            valid_until=row.valid_until - back,
        )


def make_enquiries(cast: Cast, boats: list[Boat]) -> None:
    """Enquiries that nobody has quoted yet."""
    for days, boat in enumerate(boats):
        Enquiry.objects.create(
            shop=cast.shop,
            number=next_number(shop=cast.shop, series="E"),
            customer=boat.customer,
            boat=boat,
            came_by=cast.random.choice(Enquiry.Way.values),
            words=cast.random.choice(cast.words["asks"]["any"]),
            taken_by=cast.people["wren"],
            taken_at=timezone.now() - timedelta(days=days, hours=2),
        )
