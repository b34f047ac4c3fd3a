"""The customer's own page: a secret address, one answer, nothing to change afterwards."""

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from shopapp.jobs.models import Document, Job, Quote
from shopapp.jobs.services import quotes as quote_service
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.sending import expire_quotes, send_quote
from tests.factories.jobs import make_boat, make_quote

LINK = "https://desk.example/q/{token}/"


@pytest.fixture
def sent(writer) -> Quote:
    quote = make_quote(writer)
    move_quote(quote=quote, after="ready", by=writer)
    send_quote(quote=quote, by=writer, link=LINK, subject_ok=True)
    return quote


def url(name: str, token: str) -> str:
    return reverse(f"jobs:{name}", args=[token])


def yes(quote: Quote, **changes) -> dict:
    option = quote.options.get(position=1)
    return {"option": option.pk, "name": "Odile Farrow", "agreed": "on", **changes}


def test_the_page_opens_without_a_sign_in(client, sent):
    page = client.get(url("customer_quote", sent.token))

    text = page.content.decode()
    assert page.status_code == 200
    assert "Second Tern" in text
    assert "Accept this option" in text
    assert "<svg" in text


def test_the_page_keeps_its_budget_of_queries(client, sent, django_assert_max_num_queries):
    with django_assert_max_num_queries(15):
        client.get(url("customer_quote", sent.token))


def test_only_the_offered_options_are_shown(client, sent):
    text = client.get(url("customer_quote", sent.token)).content.decode()

    offered = sent.options.filter(offered=True)
    assert text.count('class="card offer"') == offered.count()
    for option in sent.options.filter(offered=False):
        assert f"Option {option.position}</p>" not in text


def test_cost_and_office_notes_never_reach_the_page(client, writer, shop):
    boat = make_boat(shop, office_note="Pays late, be careful")
    quote = make_quote(writer, boat=boat)
    for row in quote.options.get(position=1).lines.filter(kind="equipment"):
        row.part.cost_cents = 76543
        row.part.save()
    move_quote(quote=quote, after="ready", by=writer)
    send_quote(quote=quote, by=writer, link=LINK, subject_ok=True)

    text = client.get(url("customer_quote", quote.token)).content.decode()

    assert "765.43" not in text
    assert "Pays late" not in text


def test_what_is_not_known_is_said_as_subject_to_confirmation(client, sent):
    text = client.get(url("customer_quote", sent.token)).content.decode()

    assert "Subject to confirmation." in text
    assert "A1" in text


def test_what_is_confirmed_no_longer_hangs_over_the_quote(client, sent, writer):
    for row in sent.assumptions.all():
        quote_service.settle_assumption(assumption=row, state="confirmed", by=writer)

    text = client.get(url("customer_quote", sent.token)).content.decode()

    assert "Subject to confirmation." not in text
    assert "Confirmed." in text


def test_the_address_is_kept_out_of_indexes_and_referrers(client, sent):
    page = client.get(url("customer_quote", sent.token))

    assert page["Referrer-Policy"] == "same-origin"
    assert page["X-Robots-Tag"] == "noindex, nofollow"
    assert "no-store" in page["Cache-Control"]


def test_tokens_are_long_and_never_the_same(sent, writer):
    other = make_quote(writer)
    move_quote(quote=other, after="ready", by=writer)
    send_quote(quote=other, by=writer, link=LINK, subject_ok=True)

    assert len(sent.token) >= 43
    assert sent.token != other.token


@pytest.mark.parametrize("token", ["x", "1", "0" * 43, "a" * 500, "%00", "..", "'or 1=1--"])
def test_a_guessed_address_finds_nothing(client, sent, token):
    assert client.get(url("customer_quote", token)).status_code == 404
    assert client.post(url("customer_accept", token), yes(sent)).status_code == 404
    assert not Job.objects.exists()


def test_a_quote_that_was_never_sent_has_no_page(client, writer):
    make_quote(writer)

    assert client.get("/q/None/").status_code == 404
    assert client.get("/q//").status_code == 404


# Answers


def test_accepting_shows_what_was_agreed(client, sent):
    answer = client.post(url("customer_accept", sent.token), yes(sent), follow=True)

    text = answer.content.decode()
    assert answer.status_code == 200
    assert "Accepted:" in text
    assert "Odile Farrow" in text
    assert Job.objects.count() == 1
    quote = Quote.objects.get(pk=sent.pk)
    assert quote.accepted_digest in text


def test_a_second_acceptance_answers_409_and_shows_the_first(client, sent):
    client.post(url("customer_accept", sent.token), yes(sent))
    other = sent.options.get(position=2)

    answer = client.post(
        url("customer_accept", sent.token), yes(sent, option=other.pk, name="Somebody")
    )

    text = answer.content.decode()
    assert answer.status_code == 409
    assert "answered before; nothing was changed" in text
    assert "Odile Farrow" in text
    assert "Somebody" not in text
    assert Job.objects.count() == 1


def test_accepting_after_declining_is_refused(client, sent):
    client.post(url("customer_decline", sent.token), {"name": "Odile", "reason": "Too dear"})

    answer = client.post(url("customer_accept", sent.token), yes(sent))

    assert answer.status_code == 409
    assert "Too dear" in answer.content.decode()
    assert not Job.objects.exists()


def test_declining_needs_a_name_and_keeps_the_reason(client, sent):
    nameless = client.post(url("customer_decline", sent.token), {"reason": "No"})
    named = client.post(url("customer_decline", sent.token), {"name": "Odile", "reason": "No"})

    assert nameless.status_code == 422
    assert "Write your name" in nameless.content.decode()
    assert named.status_code == 302
    assert Quote.objects.get(pk=sent.pk).answer_note == "No"


@pytest.mark.parametrize(
    ("missing", "words"),
    [
        ("agreed", "Tick this to accept"),
        ("name", "Write your name"),
        ("option", "Choose the option"),
    ],
)
def test_an_answer_that_lacks_something_is_asked_for_it(client, sent, missing, words):
    typed = yes(sent)
    del typed[missing]

    answer = client.post(url("customer_accept", sent.token), typed)

    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert Quote.objects.get(pk=sent.pk).state == "sent"


def test_what_was_typed_is_kept_when_something_lacks(client, sent):
    typed = yes(sent, name="Odile & Co")
    del typed["agreed"]

    text = client.post(url("customer_accept", sent.token), typed).content.decode()

    assert 'value="Odile &amp; Co"' in text


def test_a_name_longer_than_a_name_is_refused(client, sent):
    answer = client.post(url("customer_accept", sent.token), yes(sent, name="x" * 121))

    assert answer.status_code == 422


def test_an_option_that_is_not_offered_cannot_be_posted(client, sent):
    hidden = sent.options.filter(offered=False).first()

    answer = client.post(url("customer_accept", sent.token), yes(sent, option=hidden.pk))

    assert answer.status_code == 422
    assert not Job.objects.exists()


def test_the_form_is_guarded_against_forged_posts(sent):
    strict = Client(enforce_csrf_checks=True)

    assert strict.post(url("customer_accept", sent.token), yes(sent)).status_code == 403


def test_an_answer_is_never_taken_by_opening_an_address(client, sent):
    assert client.get(url("customer_accept", sent.token)).status_code == 405
    assert client.get(url("customer_decline", sent.token)).status_code == 405


# Links that ran out


def run_out(quote: Quote) -> None:
    Quote.objects.filter(pk=quote.pk).update(valid_until=quote.valid_until - timedelta(days=60))


def test_a_quote_past_its_day_is_gone_and_says_whom_to_ring(client, sent, shop):
    shop.phone = "555 0142"
    shop.save()
    run_out(sent)

    answer = client.get(url("customer_quote", sent.token))

    text = answer.content.decode()
    assert answer.status_code == 410
    assert "555 0142" in text
    assert "day is over" in text
    assert Quote.objects.get(pk=sent.pk).state == "expired"


def test_accepting_past_the_day_is_gone(client, sent):
    run_out(sent)

    assert client.post(url("customer_accept", sent.token), yes(sent)).status_code == 410
    assert not Job.objects.exists()


def test_the_last_day_itself_still_counts(client, sent, shop):
    Quote.objects.update(valid_until=quote_service.today_of(shop))

    assert client.get(url("customer_quote", sent.token)).status_code == 200


def test_a_replaced_quote_says_that_a_newer_one_was_made(client, sent, writer):
    quote_service.revise_quote(quote=sent, by=writer)

    answer = client.get(url("customer_quote", sent.token))

    assert answer.status_code == 410
    assert "A newer version" in answer.content.decode()


def test_the_sweep_lets_quotes_run_out_and_leaves_the_others(sent, writer):
    fresh = make_quote(writer)
    move_quote(quote=fresh, after="ready", by=writer)
    send_quote(quote=fresh, by=writer, link=LINK, subject_ok=True)
    run_out(sent)

    assert expire_quotes() == 1
    assert expire_quotes() == 0
    assert Quote.objects.get(pk=fresh.pk).state == "sent"
    assert sent.moves.last().after == "expired"


def test_an_accepted_quote_does_not_run_out(client, sent):
    client.post(url("customer_accept", sent.token), yes(sent))
    run_out(sent)

    assert expire_quotes() == 0
    assert client.get(url("customer_quote", sent.token)).status_code == 200


# The letter and the paper


def test_sending_asks_for_the_paper(sent):
    paper = Document.objects.get(quote=sent)

    assert (paper.kind, paper.row_state) == ("quote", "requested")


def test_a_paper_that_is_not_ready_is_not_there_yet(client, sent):
    assert client.get(url("customer_paper", sent.token)).status_code == 404


def test_each_label_of_the_page_finds_its_own_field(client, sent):
    text = client.get(url("customer_quote", sent.token)).content.decode()

    fields = re.findall(r'<(?:input|textarea|select)[^>]* id="([^"]+)"', text)
    assert len(fields) == len(set(fields))
    assert {"id_name", "ask_name", "no_name"} <= set(fields)
