"""The demo's quotes on their way: letters, questions, deposits, second looks, survey sheets."""

from datetime import timedelta
from uuid import UUID

from django.db.models import F
from django.utils import timezone

from shopapp.boats.models import Evidence
from shopapp.demo.quotes import Cast
from shopapp.jobs.mailing import TAKEN
from shopapp.jobs.models import Enquiry, Letter, Quote, QuoteMessage, Survey, SurveyItem
from shopapp.jobs.services.deposits import note_deposit
from shopapp.jobs.services.lines import add_line
from shopapp.jobs.services.second_look import ask_for_look, look_of
from shopapp.jobs.services.surveys import answer_item, close_survey, make_survey
from shopapp.jobs.services.talk import answer_question, ask_question
from shopapp.work.models import RowState

LIMITS = {
    "check_over_cents": 5_000_00,
    "margin_equipment_percent": 12,
    "labour_cost_cents_per_hour": 62_00,
}
TALKS = (
    ("Can the new display go a hand lower? I steer standing.", "Yes, there is room; same price."),
    ("Does the price hold until we haul out in three weeks?", ""),
)
REFUSED = "The mail server refused it: 550 no such person"


def make_offers_live(cast: Cast) -> None:
    """All that happens to quotes between desk and customer."""
    make_talks(cast)
    make_deposits(cast)
    settle_letters(cast)
    make_second_look(cast)


def date_evidence(cast: Cast) -> None:
    """What the demo's boats are known by was noted when it was seen, not today."""
    Evidence.objects.filter(boat__shop=cast.shop).update(noted_at=F("seen_at"))


def _once(cast: Cast) -> UUID:
    return UUID(int=cast.random.getrandbits(128), version=4)


def make_talks(cast: Cast) -> None:
    """One talk that is answered, and one question that waits."""
    sent = Quote.objects.of(cast.shop).filter(state="sent").order_by("pk")
    for hours, (quote, (asked, answered)) in enumerate(zip(sent, TALKS, strict=False), start=2):
        name = quote.customer.name
        ask_question(quote=quote, name=name, text=asked, once=_once(cast))
        if answered:
            wren = cast.people["wren"]
            answer_question(quote=quote, text=answered, once=_once(cast), by=wren)
        QuoteMessage.objects.filter(quote=quote, by=None).update(
            at=timezone.now() - timedelta(hours=hours)
        )


def make_deposits(cast: Cast) -> None:
    """Most deposits came in; every fourth is still open."""
    yes = Quote.objects.of(cast.shop).filter(state="approved").select_related("accepted_option")
    for place, quote in enumerate(yes.order_by("pk")):
        if place % 4 == 3 or not quote.accepted_option.deposit_cents:
            continue
        answered = timezone.localtime(quote.answered_at).date()
        note_deposit(
            quote=quote,
            cents=quote.accepted_option.deposit_cents,
            way=cast.random.choice(["card", "transfer", "cheque"]),
            received_on=min(answered + timedelta(days=2), cast.today, timezone.localdate()),
            note=f"Receipt R-{2000 + place}",
            once=_once(cast),
            by=cast.people["wren"],
        )


def settle_letters(cast: Cast) -> None:
    """The letters of an invented past went out then, all but one."""
    letters = Letter.objects.of(cast.shop)
    for letter in letters.select_related("quote"):
        quote = letter.quote
        told = {"quote": quote.sent_at, "accepted": quote.answered_at}.get(letter.about)
        at = told or timezone.now()
        letters.filter(pk=letter.pk).update(
            row_state=RowState.READY,
            tries=1,
            paper=None,
            requested_at=at,
            finished_at=at + timedelta(seconds=20),
            result=TAKEN,
        )
    failed = letters.filter(about="quote", quote__state="sent").order_by("-pk")[:1]
    letters.filter(pk__in=[row.pk for row in failed]).update(
        row_state=RowState.FAILED, result="", reason=REFUSED
    )


def make_second_look(cast: Cast) -> None:
    """The shop's limits, and a ready quote that waits for another person's yes."""
    for name, value in LIMITS.items():
        setattr(cast.shop, name, value)
    cast.shop.save()
    ready = Quote.objects.of(cast.shop).filter(state="ready").select_related("shop")
    for quote in ready[:1]:
        facts = {"kind": "outside", "description": "Crane, rigger and yard, two days"}
        option = quote.options.filter(offered=True).select_related("quote__shop").first()
        add_line(option=option, facts=facts | {"unit_cents": LIMITS["check_over_cents"]})
        quote.refresh_from_db()
        if look_of(quote).findings:
            reason = "Priced as agreed on the phone; the second station follows in spring."
            ask_for_look(quote=quote, reason=reason, by=cast.people["wren"])


def make_surveys(cast: Cast) -> None:
    """A sheet of a quote half filled in, one of an enquiry just made, one that is done."""
    wren, tobin = cast.people["wren"], cast.people["tobin"]
    rows = Quote.objects.of(cast.shop).select_related("boat__shop", "boat__customer", "run__shop")
    for quote in rows.filter(state="survey").select_related("enquiry")[:1]:
        survey = make_survey(boat=quote.boat, quote=quote, enquiry=quote.enquiry, by=wren)
        fill(survey, tobin, upto=5)
    asked = Enquiry.objects.of(cast.shop).filter(state="new", boat__isnull=False)
    for place, enquiry in enumerate(asked.select_related("boat__shop", "boat__customer")[:2]):
        survey = make_survey(boat=enquiry.boat, enquiry=enquiry, by=wren)
        if place:
            fill(survey, tobin, upto=30)
            close_survey(survey=survey, by=tobin)


FOUND = {"fuse_ma": "3", "feet": "16", "adapters": "1", "rested_mv": "12.7", "measured_ohms": "60"}


def fill(survey: Survey, by: object, *, upto: int) -> None:
    """Answers as a technician would find them; photos and odd places stay open."""
    for item in survey.items.exclude(form=SurveyItem.Form.PHOTO)[:upto]:
        if item.form == SurveyItem.Form.CHOICE and item.choices:
            # The newest release, a yes, the first of anything else.
            value = item.choices[-1 if item.fact == "release" else 0][0]
        elif item.form == SurveyItem.Form.NUMBER:
            value = FOUND.get(item.fact, "")
        else:
            value = "Seen, as drawn; see the photos."
        if value and not item.fact.startswith("end_"):
            how = "bus" if item.fact == "release" else "seen"
            answer_item(item=item, value=value, how=how, by=by)
