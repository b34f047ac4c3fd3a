"""From a short job to a staged tote: stand-in, order, delivery, scans, the label read back."""

from io import BytesIO
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import call_command
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from shopapp.jobs.models import Document, Job, PickLine
from shopapp.jobs.totes import ALWAYS_IN_THE_TOTE
from shopapp.roles import Role
from shopapp.stock.models import PurchaseOrder
from tests.browser.conftest import axe_findings, overflow, shot, sign_in
from tests.factories.accounts import PASSWORD, ShopFactory, UserFactory
from tests.jobs.store_world import Store, explained, states_of


@pytest.fixture
def store(transactional_db) -> Store:
    shop = ShopFactory(name="Tidewater Test Bench")
    by = UserFactory(shop=shop, username="pete", full_name="Pete Loam", role=Role.PARTS)
    made = Store(shop, by)
    made.shelf(made.longer, 3, "C2")
    made.boxes(made.shelf(made.box, 1, "A1"), "SN-4711")
    return made


@pytest.fixture
def job(store) -> Job:
    return store.job((store.lead, 2), (store.cable, 1), (store.box, 1))


def scanner(page: Page, code: str) -> None:
    """A keyboard-wedge reader: fast keys and Enter, wherever the focus is."""
    page.locator("h1").click()
    page.keyboard.type(code, delay=2)
    page.keyboard.press("Enter")


def looked_at(page: Page, name: str) -> None:
    assert axe_findings(page) == []
    assert overflow(page) == 0
    shot(page, name)


def test_a_short_job_ends_in_a_staged_tote(page, store, job):
    sign_in(page, store.by, PASSWORD)
    page.goto("/store/?step=short")
    page.get_by_role("link", name="J-5001").click()
    looked_at(page, "store-short")
    stand_in(page)
    order_and_receive(page, store)
    pick_by_scanner(page, job)
    stage(page)
    text = label_of(job)
    for words in ("J-5001", "Second Tern", "1 of 2", "2 of 2", "CA-20", "instead of CA-10"):
        assert words in text
    assert explained(store.shop)


def stand_in(page: Page) -> None:
    page.get_by_role("link", name="What may stand in? (CA-10)").click()
    expect(page.get_by_text("10 ft longer: stow 10 ft more slack")).to_be_visible()
    looked_at(page, "store-substitute")
    page.get_by_role("button", name="Take it (CA-20)").click()
    expect(page.get_by_text("CA-20 stands in.")).to_be_visible()
    assert PickLine.objects.get(part__number="CA-20").state == "reserved"


def order_and_receive(page: Page, store: Store) -> None:
    page.goto("/store/shortages/")
    looked_at(page, "store-shortages")
    page.get_by_role("button", name="Put on purchase orders").click()
    expect(page.get_by_role("heading", name="PO-1001")).to_be_visible()
    page.get_by_role("button", name="Mark sent").click()
    page.get_by_label("Promised for").fill("2026-12-18")
    page.get_by_label("Who said so").fill("Ines")
    page.get_by_role("button", name="Confirmed").click()
    looked_at(page, "store-order")
    page.get_by_role("link", name="Receive LD-1").click()
    looked_at(page, "store-receive")
    page.get_by_label("Delivery note").fill("DN-1")
    page.get_by_role("button", name="Book in").click()
    expect(page.get_by_text("LD-1 is booked in.")).to_be_visible()
    assert PurchaseOrder.objects.get().state == "received"


def pick_by_scanner(page: Page, job: Job) -> None:
    page.goto(f"/store/jobs/{job.pk}/")
    said = page.locator("#scan-said")
    scanner(page, "400001")
    expect(said).to_contain_text("1 of 2 picked")
    scanner(page, "CA-5")
    expect(said).to_contain_text("Wrong part: CA-5")
    scanner(page, "400001")
    expect(said).to_contain_text("2 of 2 picked")
    page.get_by_role("button", name="Take back the last scan").click()
    expect(said).to_contain_text("Taken back")
    for code in ("LD-1", "CA-20", "SN-4711"):
        page.get_by_label("Scan or type").fill(code)
        page.keyboard.press("Enter")
        expect(page.get_by_label("Scan or type")).to_have_value("")
    expect(said).to_contain_text("serial SN-4711: 1 of 1 picked")
    assert states_of(job) == ["picked", "picked", "picked"]
    looked_at(page, "store-picked")


def stage(page: Page) -> None:
    page.get_by_label("Totes").fill("2")
    for words in ALWAYS_IN_THE_TOTE.values():
        page.get_by_label(words, exact=True).check()
    page.get_by_role("button", name="Staged").click()
    expect(page.get_by_text("2 totes staged")).to_be_visible()
    call_command("work", "--once")
    expect(page.get_by_role("link", name="Open PDF").first).to_be_visible()
    looked_at(page, "store-staged")


def label_of(job: Job) -> str:
    paper = Document.objects.get(job=job, kind="tote_label")
    body = (Path(settings.MEDIA_ROOT) / paper.file).read_bytes()
    return " ".join(one.extract_text() for one in PdfReader(BytesIO(body)).pages)
