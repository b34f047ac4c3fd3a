"""Letters: a row first, sent by the worker with the PDF, tried again, never knowingly twice."""

import hashlib
from datetime import timedelta

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone

from shopapp.errors import MoveRefused
from shopapp.jobs.documents.making import render
from shopapp.jobs.mailing import send_letter
from shopapp.jobs.models import Document, Letter, Quote
from shopapp.jobs.services.letters import send_again, write_letter
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.sending import send_quote
from tests.factories.jobs import make_boat, make_quote

LINK = "https://desk.example/q/{token}/"
BACKENDS = "tests.jobs.mail_backends"


@pytest.fixture
def media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def sent(writer, **of) -> Quote:
    quote = make_quote(writer, **of)
    move_quote(quote=quote, after="ready", by=writer)
    send_quote(quote=quote, by=writer, link=LINK, subject_ok=True)
    return quote


@pytest.fixture
def letter(writer) -> Letter:
    """A letter without a paper."""
    return write_letter(
        shop=writer.shop,
        about="quote",
        once="test-1",
        to="odile@example.com",
        subject="Your quote",
        body="Dear Odile",
    )


def fresh(letter: Letter) -> Letter:
    return Letter.objects.get(pk=letter.pk)


def test_the_letter_waits_for_the_paper_and_takes_it_along(writer, media):
    quote = sent(writer)
    letter, paper = Letter.objects.get(), Document.objects.get()

    assert not send_letter(letter.pk)
    assert render(paper.pk)
    assert send_letter(letter.pk)

    (message,) = mail.outbox
    name, body, kind = message.attachments[0]
    assert message.to == ["odile@example.com"]
    assert f"https://desk.example/q/{quote.token}/" in message.body
    assert (name, kind) == (f"{quote}-quote-v1.pdf", "application/pdf")
    assert hashlib.sha256(body).hexdigest() == fresh(letter).paper_digest


def test_what_was_sent_is_kept(letter, writer):
    send_letter(letter.pk)

    row = fresh(letter)
    assert (row.to, row.subject, row.body) == ("odile@example.com", "Your quote", "Dear Odile")
    assert (row.row_state, row.result) == ("ready", "Taken by the mail server.")
    assert row.finished_at is not None
    assert mail.outbox[0].extra_headers["Message-ID"] == row.message_id


def test_a_paper_that_could_not_be_made_holds_nothing_up(writer, media):
    sent(writer)
    Document.objects.update(row_state="failed", reason="The disk is full.")
    letter = Letter.objects.get()

    assert send_letter(letter.pk)

    assert mail.outbox[0].attachments == []
    assert fresh(letter).result.endswith("Without the PDF, which could not be made.")


def test_without_an_address_no_letter_is_written(writer, shop):
    sent(writer, boat=make_boat(shop, email=""))

    assert not Letter.objects.exists()


def test_the_same_thing_is_written_once(letter, writer):
    again = write_letter(
        shop=writer.shop, about="quote", once="test-1", to="b@example.com", subject="x", body="y"
    )

    assert again == letter
    assert Letter.objects.count() == 1


def test_a_letter_run_twice_goes_out_once(letter):
    assert send_letter(letter.pk)
    assert not send_letter(letter.pk)

    assert len(mail.outbox) == 1


def test_a_line_break_in_a_name_makes_no_header(writer):
    letter = write_letter(
        shop=writer.shop,
        about="quote",
        once="test-2",
        to="odile@example.com",
        subject="Second Tern\nBcc: everybody@example.com",
        body="x",
    )

    send_letter(letter.pk)

    assert mail.outbox[0].subject == "Second Tern Bcc: everybody@example.com"
    assert mail.outbox[0].recipients() == ["odile@example.com"]


@pytest.mark.parametrize("backend", ["Away", "Later"])
def test_a_server_that_takes_nothing_now_is_asked_again_after_a_rest(letter, settings, backend):
    settings.EMAIL_BACKEND = f"{BACKENDS}.{backend}"
    send_letter(letter.pk)

    row = fresh(letter)
    assert (row.row_state, row.handed_at) == ("requested", None)
    assert row.reason
    assert row.wait_until > timezone.now() + timedelta(minutes=1)
    assert not Letter.objects.all().open_now(timezone.now()).exists()

    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    Letter.objects.update(wait_until=timezone.now() - timedelta(seconds=1))
    assert send_letter(letter.pk)
    assert fresh(letter).row_state == "ready"


def test_each_rest_is_longer_and_the_fifth_fault_is_the_last(letter, settings):
    settings.EMAIL_BACKEND = f"{BACKENDS}.Away"
    rests = []
    for _ in range(settings.WORK_MAX_TRIES):
        Letter.objects.update(wait_until=None)
        before = timezone.now()
        send_letter(letter.pk)
        rests.append(fresh(letter).wait_until - before)

    assert rests == sorted(rests)
    assert fresh(letter).row_state == "failed"


def test_a_server_that_knows_nobody_is_not_asked_again(letter, settings):
    settings.EMAIL_BACKEND = f"{BACKENDS}.Never"

    send_letter(letter.pk)

    row = fresh(letter)
    assert row.row_state == "failed"
    assert row.reason == "The mail server refused it: 550 no such person"


def test_what_may_have_gone_out_is_left_to_a_person(letter, settings):
    settings.EMAIL_BACKEND = f"{BACKENDS}.Silent"

    send_letter(letter.pk)

    row = fresh(letter)
    assert row.row_state == "failed"
    assert row.reason.startswith("It may have gone out")


def test_a_worker_killed_while_handing_over_does_not_make_it_go_out_twice(letter):
    mark = Letter.objects.claim(letter.pk)
    long_ago = timezone.now() - timedelta(minutes=5)
    Letter.objects.filter(lease_owner=mark).update(handed_at=long_ago, lease_until=long_ago)

    assert not send_letter(letter.pk)

    assert mail.outbox == []
    assert fresh(letter).reason.startswith("It may have gone out")


def test_a_worker_killed_before_handing_over_is_made_good(letter):
    mark = Letter.objects.claim(letter.pk)
    long_ago = timezone.now() - timedelta(minutes=5)
    Letter.objects.filter(lease_owner=mark).update(lease_until=long_ago)

    assert send_letter(letter.pk)
    assert len(mail.outbox) == 1


def test_a_person_sends_a_failed_letter_again(letter, settings):
    settings.EMAIL_BACKEND = f"{BACKENDS}.Silent"
    send_letter(letter.pk)
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"

    send_again(letter=letter)

    assert send_letter(letter.pk)
    with pytest.raises(MoveRefused, match="was sent"):
        send_again(letter=letter)


def test_the_page_of_a_letter_and_who_may_see_it(client_for, letter, writer, technician, stranger):
    address = reverse("jobs:letter", args=[letter.pk])

    assert "Dear Odile" in client_for(writer).get(address).content.decode()
    assert client_for(technician).get(address).status_code == 403
    assert client_for(stranger).get(address).status_code == 404


def test_a_failed_letter_shows_its_reason_and_a_button(client_for, letter, writer, settings):
    settings.EMAIL_BACKEND = f"{BACKENDS}.Never"
    send_letter(letter.pk)
    desk = client_for(writer)

    page = desk.get(reverse("jobs:letter", args=[letter.pk])).content.decode()
    desk.post(reverse("jobs:letter_again", args=[letter.pk]))

    assert "no such person" in page
    assert "Send again" in page
    assert fresh(letter).row_state == "requested"


def test_a_letter_that_a_person_stopped_may_be_sent_all_the_same(client_for, letter, writer):
    Letter.objects.filter(pk=letter.pk).stop(by="Wanda Pell")
    desk = client_for(writer)

    assert not send_letter(letter.pk)
    assert "Stopped by Wanda Pell." in desk.get(reverse("jobs:letter", args=[letter.pk])).text
    send_again(letter=letter)
    assert send_letter(letter.pk)
