"""What customer and shop say to each other about a quote, and the deposit."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.cache import cache
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.jobs.documents.making import render
from shopapp.jobs.models import Approval, Deposit, Document, Letter, Quote, QuoteMessage
from shopapp.jobs.services.acceptance import accept_quote
from shopapp.jobs.services.deposits import money_of, note_deposit, strike_deposit
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.sending import send_quote
from shopapp.jobs.services.talk import AN_HOUR, answer_question, ask_question, unanswered
from shopapp.jobs.views.throttle import MISSES
from tests.factories.jobs import make_quote

LINK = "https://desk.example/q/{token}/"


@pytest.fixture
def sent(writer) -> Quote:
    writer.shop.email = "desk@example.com"
    writer.shop.save()
    quote = make_quote(writer)
    move_quote(quote=quote, after="ready", by=writer)
    send_quote(quote=quote, by=writer, link=LINK, subject_ok=True)
    return quote


@pytest.fixture
def approved(sent) -> Quote:
    accept_quote(quote=sent, option=sent.options.get(position=1), name="Odile Farrow", address=None)
    return Quote.objects.select_related("accepted_option", "shop").get(pk=sent.pk)


def ask(quote: Quote, text="Does the price hold till May?", **changes) -> QuoteMessage:
    facts = {"name": "Odile Farrow", "once": uuid4(), **changes}
    return ask_question(quote=quote, text=text, **facts)


# Questions


def test_a_question_stands_on_both_pages_and_so_does_its_answer(client, client_for, sent, writer):
    asked = {"name": "Odile", "text": "Is the lift <included>?", "once": uuid4()}
    page = client.post(reverse("jobs:customer_ask", args=[sent.token]), asked, follow=True)
    assert "Is the lift &lt;included&gt;?" in page.content.decode()
    assert "Your question is sent." in page.content.decode()

    desk = client_for(writer)
    sheet = desk.get(reverse("jobs:quote", args=[sent.pk])).content.decode()
    assert "The customer asks" in sheet
    reply = {"text": "No, the yard bills it.", "once": uuid4()}
    desk.post(reverse("jobs:quote_reply", args=[sent.pk]), reply)

    page = client.get(reverse("jobs:customer_quote", args=[sent.token])).content.decode()
    sheet = desk.get(reverse("jobs:quote", args=[sent.pk])).content.decode()
    assert "No, the yard bills it." in page
    assert "The customer asks" not in sheet


def test_each_is_told_by_letter(sent, writer):
    ask(sent)
    answer_question(quote=sent, text="Yes, it does.", once=uuid4(), by=writer)

    told = Letter.objects.exclude(about="quote").order_by("pk")
    assert [(row.about, row.to) for row in told] == [
        ("question", "desk@example.com"),
        ("answer", "odile@example.com"),
    ]
    assert sent.token not in told[0].body
    assert sent.token in told[1].body


def test_a_second_press_is_one_message(sent):
    once = uuid4()

    assert ask(sent, once=once) == ask(sent, once=once)
    assert Letter.objects.filter(about="question").count() == 1


@pytest.mark.parametrize(("name", "text"), [(" ", "When?"), ("Odile", "  "), ("O", "x" * 2001)])
def test_blank_or_endless_questions_are_refused(sent, name, text):
    with pytest.raises(FactRefused):
        ask(sent, name=name, text=text)


def test_a_flood_of_questions_is_bounded(client, sent):
    for number in range(AN_HOUR):
        ask(sent, text=f"Question {number}")

    asked = {"name": "Odile", "text": "One more", "once": uuid4()}
    page = client.post(reverse("jobs:customer_ask", args=[sent.token]), asked)

    assert page.status_code == 409
    assert "Please ring us instead" in page.content.decode()
    assert "One more" in page.content.decode()  # what was typed is still there
    assert QuoteMessage.objects.count() == AN_HOUR


def test_an_older_flood_does_not_shut_the_door_for_ever(sent):
    for number in range(AN_HOUR):
        ask(sent, text=f"Question {number}")
    QuoteMessage.objects.update(at=timezone.now() - timedelta(hours=2))

    assert ask(sent).pk


def test_only_quotes_whose_last_word_is_the_customers_wait(sent, writer, shop):
    assert not unanswered(shop).exists()
    ask(sent)
    assert unanswered(shop).get() == sent
    answer_question(quote=sent, text="Yes.", once=uuid4(), by=writer)
    assert not unanswered(shop).exists()


def test_nobody_talks_about_a_quote_that_is_not_sent(writer):
    with pytest.raises(MoveRefused):
        ask(make_quote(writer))


def test_who_may_not_answer(client_for, sent, technician, stranger):
    address = reverse("jobs:quote_reply", args=[sent.pk])

    assert client_for(technician).post(address, {}).status_code == 403
    assert client_for(stranger).post(address, {}).status_code == 404


def test_guessing_at_addresses_soon_meets_a_shut_door(client, sent):
    cache.clear()
    for number in range(MISSES):
        assert client.get(f"/q/guess-{number}/").status_code == 404

    assert client.get("/q/guess-more/").status_code == 429
    cache.clear()
    assert client.get(f"/q/{sent.token}/").status_code == 200


# The yes


def test_the_yes_keeps_word_for_word_what_was_shown(client, sent):
    option = sent.options.get(position=1)
    said = {"option": option.pk, "name": "Odile Farrow", "agreed": "on"}
    client.post(reverse("jobs:customer_accept", args=[sent.token]), said, HTTP_USER_AGENT="Phone 9")

    approval = Approval.objects.get()
    assert (approval.name, approval.way, approval.browser) == ("Odile Farrow", "page", "Phone 9")
    assert option.title in approval.agreed
    assert approval.agreed_digest == approval.quote.accepted_digest
    assert Letter.objects.get(about="accepted").to == "odile@example.com"


def test_the_yes_names_the_pdf_that_was_there(sent, writer, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    paper = Document.objects.get(quote=sent)
    render(paper.pk)
    accept_quote(quote=sent, option=sent.options.get(position=1), name="Odile Farrow", address=None)

    paper.refresh_from_db()
    assert Approval.objects.get().paper_digest == paper.digest != ""


# The deposit


def note(quote: Quote, by, cents=100_00, **changes) -> Deposit:
    facts = {
        "way": "card",
        "received_on": timezone.localdate() - timedelta(days=1),
        "note": "",
        "once": uuid4(),
    }
    return note_deposit(quote=quote, cents=cents, by=by, **{**facts, **changes})


def test_a_deposit_is_noted_and_the_customer_reads_it(client, approved, writer):
    due = approved.accepted_option.deposit_cents
    note(approved, writer, cents=due)

    page = client.get(reverse("jobs:customer_quote", args=[approved.token])).content.decode()
    assert money_of(approved).open_cents == 0
    assert "we have received it" in page


def test_a_second_press_is_one_deposit(approved, writer):
    once = uuid4()

    assert note(approved, writer, once=once) == note(approved, writer, once=once)
    assert money_of(approved).received_cents == 100_00


@pytest.mark.parametrize("cents", [0, -1, 10**15])
def test_amounts_that_cannot_be_are_refused(approved, writer, cents):
    with pytest.raises(FactRefused):
        note(approved, writer, cents=cents)


def test_a_day_ahead_is_refused(approved, writer):
    with pytest.raises(FactRefused, match="lies ahead"):
        note(approved, writer, received_on=timezone.localdate() + timedelta(days=3))


def test_no_deposit_without_a_yes(sent, writer):
    with pytest.raises(MoveRefused, match="not approved"):
        note(sent, writer)


def test_a_struck_deposit_stays_readable_and_counts_no_more(client_for, approved, writer):
    row = note(approved, writer)
    strike_deposit(deposit=row, why="Wrong quote.", by=writer)

    page = client_for(writer).get(reverse("jobs:deposit_add", args=[approved.pk]))
    assert money_of(approved).received_cents == 0
    assert "Wrong quote." in page.content.decode()
    with pytest.raises(StaleRecord):
        strike_deposit(deposit=row, why="Twice.", by=writer)


def test_the_database_refuses_a_deposit_of_nothing(approved, writer):
    with pytest.raises(IntegrityError), transaction.atomic():
        Deposit.objects.create(
            quote=approved,
            cents=0,
            way="card",
            received_on=timezone.localdate() - timedelta(days=1),
            noted_by=writer,
            once=uuid4(),
        )


def test_the_desk_notes_a_deposit_by_form(client_for, approved, writer):
    facts = {
        "cents": "250.50", "way": "transfer", "received_on": "2026-01-05", "note": "R-7",
        "once": uuid4(),
    }  # fmt: skip
    page = client_for(writer).post(reverse("jobs:deposit_add", args=[approved.pk]), facts)

    assert page.status_code == 302
    assert Deposit.objects.get().cents == 250_50


def test_price_of_minus_one_keeps_what_was_typed(client_for, approved, writer):
    facts = {"cents": "-1", "way": "card", "received_on": "2026-01-05", "once": uuid4()}
    page = client_for(writer).post(reverse("jobs:deposit_add", args=[approved.pk]), facts)

    assert page.status_code == 422
    assert 'value="-1"' in page.content.decode()


def test_who_may_not_note_a_deposit(client_for, approved, technician, stranger):
    address = reverse("jobs:deposit_add", args=[approved.pk])

    assert client_for(technician).get(address).status_code == 403
    assert client_for(stranger).get(address).status_code == 404
