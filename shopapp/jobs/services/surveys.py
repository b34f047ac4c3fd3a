"""Survey sheets: made for one boat and one wish, answered aboard, landed on the boat's record."""

from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from planner.models import PlanRun
from shopapp.accounts.models import User
from shopapp.boats.models import Boat, Evidence, Photo
from shopapp.boats.services.backbone import write_measured
from shopapp.boats.services.evidence import lock_boat, record_fact
from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.jobs.models import Assumption, Enquiry, Move, Quote, Survey, SurveyItem
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.numbers import next_number
from shopapp.jobs.services.surveyed import KINDS_OF_SUBJECT, value_of
from shopapp.jobs.surveying.sheet import asked_of

State = Survey.State
Items = SurveyItem.State


def make_survey(
    *,
    boat: Boat,
    by: User,
    enquiry: Enquiry | None = None,
    quote: Quote | None = None,
) -> Survey:
    """A sheet for this boat and this wish; the open one where there is one for it already.

    The wish is that of the quote, else the last planning of the enquiry; without either the
    sheet asks what the records alone leave open. The quote waits for the survey, and its open
    assumptions are asked.
    """
    wanted = Survey.objects.filter(boat=boat, enquiry=enquiry, quote=quote, state=State.OPEN)
    for row in wanted:
        return row
    run = quote.run if quote else _last_run(boat, enquiry)
    # The engine is asked before the transaction: it may think for a page's time.
    asked = asked_of(boat=boat, run=run if run and run.answer else None)
    with transaction.atomic():
        lock_boat(boat)
        for row in wanted.all():
            return row  # a second press came first
        survey = Survey.objects.create(
            shop=boat.shop,
            number=next_number(shop=boat.shop, series="S"),
            boat=boat,
            enquiry=enquiry,
            quote=quote,
            run=run,
            wish=_wish(enquiry, quote, run),
            desk=asked.desk,
            made_by=by,
        )
        SurveyItem.objects.bulk_create(
            SurveyItem(survey=survey, position=place, **_columns(asdict(point)))
            for place, point in enumerate(asked.points, start=1)
        )
        _let_wait(survey, by)
    return survey


def _columns(facts: dict[str, Any]) -> dict[str, Any]:
    return facts | {"choices": [list(pair) for pair in facts["choices"]]}


def _last_run(boat: Boat, enquiry: Enquiry | None) -> PlanRun | None:
    if enquiry is None:
        return None
    runs = PlanRun.objects.filter(boat=boat, wishes__enquiry=enquiry.pk, answer__isnull=False)
    return runs.select_related("shop", "boat").order_by("-requested_at").first()


def _wish(enquiry: Enquiry | None, quote: Quote | None, run: PlanRun | None) -> str:
    if enquiry is not None:
        return enquiry.words
    if quote is not None:
        return quote.enquiry.words if quote.enquiry else quote.title
    return run.wish_words if run else ""


def _let_wait(survey: Survey, by: User) -> None:
    if survey.enquiry_id:
        waiting = Enquiry.objects.filter(pk=survey.enquiry_id, state=Enquiry.State.NEW)
        waiting.update(state=Enquiry.State.SURVEY)
    quote = survey.quote
    if quote is None:
        return
    if quote.state in {Quote.State.BUILDING, Quote.State.READY}:
        move_quote(quote=quote, after="survey", by=by, note=f"Survey {survey} is asked for.")
    for row in quote.assumptions.filter(state=Assumption.State.OPEN):
        row.state = Assumption.State.ASKED
        row.settled_by, row.settled_at = by, timezone.now()
        row.save()


@transaction.atomic
def answer_item(
    *,
    item: SurveyItem,
    value: str,
    how: str,
    by: User,
    seen_at: datetime | None = None,
    note: str = "",
    photo: Photo | None = None,
) -> SurveyItem:
    """Keep an answer with its evidence and land it on the boat's record.

    The same answer sent twice is one piece of evidence. FactRefused where the value cannot be;
    MoveRefused where the sheet is closed. An answer weaker than what is known is kept as disputed.
    """
    item = _open_item(item)
    photo = photo or item.photo
    now = timezone.now()
    same = item.state == Items.ANSWERED and (item.answer, item.how) == (value.strip(), how)
    if same and photo == item.photo and (not seen_at or seen_at == item.seen_at):
        return item
    if item.form == SurveyItem.Form.PHOTO:
        if photo is None:
            raise FactRefused("Take the photo.", field="image")
    else:
        row = _record(item, value, how=how, by=by, seen_at=seen_at or now, note=note, photo=photo)
        item.disputed = row.standing == Evidence.Standing.DISPUTED
    item.state, item.answer, item.how = Items.ANSWERED, value.strip()[:200], how
    item.seen_at, item.by, item.note, item.photo = seen_at or now, by, note[:200], photo
    item.save()
    return item


def _record(item: SurveyItem, value: str, *, seen_at: datetime, **seen: Any) -> Evidence:
    subject = KINDS_OF_SUBJECT[item.slot].objects.filter(pk=item.subject).first()
    boat = item.survey.boat
    if subject is None or (item.slot != "boat" and subject.boat_id != boat.pk):
        raise StaleRecord("What this question speaks of is gone from the boat's record.")
    note = f"{item.survey}. {seen.pop('note')}".strip()[:200]
    found = value_of(item, value)
    row = record_fact(
        boat=boat,
        subject=subject,
        fact=item.fact,
        value=found,
        seen_at=seen_at,
        note=note,
        **seen,
    )
    if item.slot == "backbone" and row.standing == Evidence.Standing.HOLDS:
        write_measured(backbone=subject, fact=item.fact, value=found)
    return row


@transaction.atomic
def could_not(*, item: SurveyItem, note: str, by: User) -> SurveyItem:
    """Say that it could not be seen, and why: nothing reaches the record."""
    item = _open_item(item)
    if not note.strip():
        raise FactRefused("Say why it could not be seen.", field="note")
    item.state, item.note = Items.COULD_NOT, note.strip()[:200]
    item.by, item.seen_at = by, timezone.now()
    item.answer = item.how = ""
    item.save()
    return item


def _open_item(item: SurveyItem) -> SurveyItem:
    survey = Survey.objects.select_for_update().only("pk", "state").get(pk=item.survey_id)
    if survey.state != State.OPEN:
        raise MoveRefused(
            "This sheet is closed.", todo="Make a new one, or note it on the boat's own sheet."
        )
    rows = SurveyItem.objects.select_related("survey__boat__shop", "photo")
    return rows.get(pk=item.pk)


@transaction.atomic
def close_survey(*, survey: Survey, by: User) -> None:
    """The visit is over: who waited for it may go on, what stayed open is said.

    MoveRefused where it was closed already.
    """
    _leave_open(survey, state=State.DONE, done_by=by, done_at=timezone.now())
    left = survey.items.filter(state=Items.OPEN).count()
    if survey.enquiry_id:
        rows = Enquiry.objects.filter(pk=survey.enquiry_id, state=Enquiry.State.SURVEY)
        quoted = Quote.objects.filter(enquiry=survey.enquiry_id).exists()
        rows.update(state=Enquiry.State.QUOTED if quoted else Enquiry.State.NEW)
    words = f"Survey {survey} is done" + (f"; {left} questions stayed open." if left else ".")
    waiting = Quote.objects.filter(boat=survey.boat_id, state__in=[*Quote.OPEN_STATES, "sent"])
    Move.objects.bulk_create(
        Move(quote=quote, before=quote.state, after=quote.state, by=by, note=words)
        for quote in waiting.only("pk", "state")
    )


@transaction.atomic
def drop_survey(*, survey: Survey, by: User) -> None:
    """The visit will not be: the sheet stays readable."""
    _leave_open(survey, state=State.DROPPED, done_by=by, done_at=timezone.now())
    rows = Enquiry.objects.filter(pk=survey.enquiry_id, state=Enquiry.State.SURVEY)
    rows.update(state=Enquiry.State.NEW)


def _leave_open(survey: Survey, **facts: Any) -> None:
    if Survey.objects.filter(pk=survey.pk, state=State.OPEN).update(**facts) != 1:
        raise StaleRecord(f"The sheet {survey} is closed already.", todo="Load the page again.")
    for name, value in facts.items():
        setattr(survey, name, value)
