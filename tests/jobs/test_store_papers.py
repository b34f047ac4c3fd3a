"""The store's papers read back: the tote's label in large print, the purchase order to the cent."""

from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from django.conf import settings
from pypdf import PdfReader

from shopapp.jobs.documents.facts import facts_changed
from shopapp.jobs.documents.making import render
from shopapp.jobs.models import Document, Job
from shopapp.jobs.services.papers import request_document
from shopapp.jobs.services.picking import count_picked
from shopapp.jobs.services.staging import stage_list
from shopapp.jobs.totes import ALWAYS_IN_THE_TOTE
from shopapp.stock.ordering import confirm_order
from tests.jobs.store_world import Store, lines_of


@pytest.fixture
def store(shop, parts_person, settings, tmp_path) -> Store:
    settings.MEDIA_ROOT = str(tmp_path)
    return Store(shop, parts_person)


def pages_of(document: Document) -> list[str]:
    assert render(document.pk)
    document.refresh_from_db()
    body = (Path(settings.MEDIA_ROOT) / document.file).read_bytes()
    return [page.extract_text() for page in PdfReader(BytesIO(body)).pages]


def staged(store: Store, totes: int = 2) -> Job:
    store.shelf(store.lead, 5)
    job = store.job((store.lead, 2), (store.cable, 1))
    lines = lines_of(job)
    count_picked(job=job, counts={lines[0].pk: 2}, by=store.by)
    extras = [key for key in ALWAYS_IN_THE_TOTE if key != "cards"]
    stage_list(
        job=job,
        totes=totes,
        extras=extras,
        extras_why="No card is needed.",
        split_reason="The cable follows.",
        by=store.by,
    )
    return job


def test_each_tote_has_its_label_and_the_list_lies_in_the_lid(store):
    job = staged(store)
    pages = pages_of(Document.objects.get(job=job, kind="tote_label"))
    assert len(pages) == 3
    for number, page in enumerate(pages[:2], start=1):
        assert "J-5001" in page
        assert "Second Tern" in page
        assert f"{number} of 2" in page
    lid = " ".join(pages[2].split())
    told = ("LD-1", "Power lead", "NOT IN THE TOTE", "CA-10", "The cable follows.", "Port caps")
    for words in told:
        assert words in lid
    assert "Left out: No card is needed." in lid


def test_a_label_says_when_the_tote_has_changed_since(store):
    job = staged(store)
    document = Document.objects.get(job=job, kind="tote_label")
    pages_of(document)
    assert not facts_changed(document)
    line = lines_of(job)[0]
    count_picked(job=job, counts={line.pk: 1}, by=store.by)
    assert facts_changed(document)


def test_the_same_facts_give_the_same_bytes(store):
    job = staged(store, totes=1)
    document = Document.objects.get(job=job, kind="tote_label")
    pages_of(document)
    first = document.digest
    Document.objects.filter(pk=document.pk).update(row_state="requested", file="")
    pages_of(document)
    assert document.digest == first


def test_the_order_names_both_numbers_and_adds_up(store):
    line = store.ordered(store.cable, 3)
    line.number = "Q-77"
    line.save()
    confirm_order(order=line.order, promised_on=date(2026, 12, 18), said_by="Ines", by=store.by)
    document = request_document(kind="purchase", by=store.by, order=line.order)
    text = " ".join(" ".join(pages_of(document)).split())
    for words in ("PO-1001", "Quayside Supply", "CA-10", "Q-77", "$9.00", "$27.00"):
        assert words in text


def test_a_pick_list_says_what_is_promised(store):
    job = store.job((store.lead, 2))
    line = store.ordered(store.lead, 2)
    mine = lines_of(job)[0]
    mine.purchase_line, mine.ordered = line, 2
    mine.settle_state().save()
    type(line).objects.filter(pk=line.pk).update(spoken=2, promised_on="2026-12-18")
    document = request_document(kind="pick_list", by=store.by, job=job)
    text = " ".join(" ".join(pages_of(document)).split())
    assert "PO-1001, promised 18 Dec 2026" in text
