"""A purchase order by e-mail: it waits for its PDF, goes out once, and what went out is kept."""

import pytest
from django.core import mail
from django.urls import reverse

from shopapp.errors import FactRefused, StaleRecord
from shopapp.jobs.documents.making import render
from shopapp.jobs.mailing import send_letter
from shopapp.jobs.models import Document, Letter
from shopapp.jobs.services.order_letters import send_out
from shopapp.stock.models import PurchaseOrder
from shopapp.stock.ordering import add_to_order, draft_for
from tests.jobs.store_world import Store

TO = "orders@quayside.example"


@pytest.fixture
def store(shop, parts_person) -> Store:
    made = Store(shop, parts_person)
    made.supplier.email = TO
    made.supplier.account_number = "C-77"
    made.supplier.save()
    return made


@pytest.fixture
def order(store) -> PurchaseOrder:
    """A draft of two lines, one without a price."""
    draft = draft_for(supplier=store.supplier, by=store.by)
    add_to_order(order=draft, part=store.cable, quantity=3)
    add_to_order(order=draft, part=store.box, quantity=1)
    draft.lines.filter(part=store.box).update(unit_cents=None)
    return draft


@pytest.fixture
def media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def fresh(row):
    return type(row).objects.get(pk=row.pk)


def test_an_order_by_other_ways_writes_no_letter(order, store):
    assert send_out(order=order, by=store.by, note="By the portal") is None
    assert not Letter.objects.exists()
    assert Document.objects.get().kind == "purchase"
    assert order.moves.get(after="sent").note == "By the portal"


def test_the_letter_waits_for_the_pdf_and_takes_it_along(order, store, media):
    letter = send_out(order=order, by=store.by, by_mail=True)
    assert fresh(order).state == "sent"
    assert not send_letter(letter.pk)
    assert render(Document.objects.get().pk)
    assert send_letter(letter.pk)

    (message,) = mail.outbox
    assert message.to == [TO]
    assert message.attachments[0][0] == f"{order}-purchase-v1.pdf"
    assert fresh(letter).paper_digest == Document.objects.get().digest
    assert order.moves.get(after="sent").note == f"By e-mail to {TO}."


def test_the_letter_is_an_order_in_plain_words_too(order, store):
    words = send_out(order=order, by=store.by, by_mail=True).body
    assert "our order number PO-1001 (our account with you: C-77)" in words
    assert "3 × CA-10, " in words
    assert "$9.00 each" in words
    assert "1 × EQ-1, Bench Display\n" in words
    assert "Total without 1 line of no known price: $27.00" in words


def test_a_paper_that_cannot_be_made_does_not_hold_the_order_up(order, store):
    letter = send_out(order=order, by=store.by, by_mail=True)
    Document.objects.update(row_state="failed", reason="The disk is full.")
    assert send_letter(letter.pk)
    assert mail.outbox[0].attachments == []
    assert fresh(letter).result.endswith("Without the PDF, which could not be made.")


def test_without_an_address_nothing_is_sent(order, store):
    store.supplier.email = ""
    store.supplier.save()
    order = fresh(order)
    with pytest.raises(FactRefused, match="No e-mail address of Quayside Supply") as refused:
        send_out(order=order, by=store.by, by_mail=True)
    assert refused.value.field == "by_mail"
    assert fresh(order).state == "draft"


def test_two_who_send_the_same_order_send_one_letter(order, store):
    mine, theirs = fresh(order), fresh(order)
    send_out(order=mine, by=store.by, by_mail=True)
    with pytest.raises(StaleRecord):
        send_out(order=theirs, by=store.by, by_mail=True)
    assert Letter.objects.count() == 1


# Its pages


def test_the_page_offers_the_mail_and_shows_the_letter(order, store, client_for):
    client = client_for(store.by)
    page = client.get(reverse("jobs:order", args=[order.pk]))
    assert f"E-mail it with its PDF to {TO}" in page.text

    client.post(reverse("jobs:order_send", args=[order.pk]), {"by_mail": "on"})

    letter = Letter.objects.get()
    page = client.get(reverse("jobs:order", args=[order.pk]))
    assert reverse("jobs:order_letter", args=[letter.pk]) in page.text
    assert "on its way" in page.text


def test_where_no_address_is_known_the_page_says_where_to_write_it(order, store, client_for):
    store.supplier.email = ""
    store.supplier.save()
    page = client_for(store.by).get(reverse("jobs:order", args=[order.pk]))
    assert "No e-mail address of Quayside Supply is on record" in page.text
    assert reverse("stock:supplier", args=[store.supplier.pk]) in page.text
    assert "by_mail" not in page.text


def test_a_letter_that_failed_is_sent_again_by_the_counter(order, store, client_for):
    letter = send_out(order=order, by=store.by, by_mail=True)
    Letter.objects.update(row_state="failed", reason="The mail server refused it.")
    client = client_for(store.by)
    page = client.get(reverse("jobs:order_letter", args=[letter.pk]))
    assert "The mail server refused it." in page.text
    client.post(reverse("jobs:order_letter_again", args=[letter.pk]))
    assert fresh(letter).row_state == "requested"


@pytest.mark.parametrize(
    ("name", "role", "status"),
    [
        ("order_letter", "parts_person", 200),
        ("order_letter", "writer", 200),
        ("order_letter", "technician", 403),
        ("order_letter", "stranger", 404),
        ("order_letter_state", "technician", 403),
        ("order_letter_state", "stranger", 404),
        ("order_letter_again", "writer", 403),
        ("order_letter_again", "stranger", 404),
        ("letter", "writer", 404),  # the desk's page is of letters to customers
    ],
)
def test_letters_to_suppliers_are_the_counters(
    order, store, client_for, request, name, role, status
):
    letter = send_out(order=order, by=store.by, by_mail=True)
    client = client_for(request.getfixturevalue(role))
    url = reverse(f"jobs:{name}", args=[letter.pk])
    answer = client.post(url) if name.endswith("again") else client.get(url)
    assert answer.status_code == status
