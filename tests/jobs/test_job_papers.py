"""Port map, labels, change order, commissioning record, handover pack: read back from the PDF."""

from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Unit
from shopapp.jobs.documents.facts import digest_of, facts_changed, facts_of, subject_of
from shopapp.jobs.documents.finish_sheet import months_on
from shopapp.jobs.documents.map_sheet import FLAGS_A_SHEET
from shopapp.jobs.models import Document, Job
from shopapp.jobs.services import change_answers, changing
from shopapp.jobs.services.closing import close_job
from shopapp.jobs.services.finishing import check_job
from shopapp.jobs.services.papers import OF_JOB, request_document
from shopapp.work.runner import run_row
from tests.jobs.test_documents import assert_says, made, pages_of, text_of
from tests.jobs.work_world import Works
from tests.planner.worlds import add


@pytest.fixture(autouse=True)
def media(settings: object, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def works(shop: Shop, writer: User, technician: User) -> Works:
    works = Works(shop, writer, technician)
    works.start()
    return works


def finished(works: Works) -> Works:
    works.do_all(but=("label",))
    close_job(job=works.job, by=works.technician)
    works.job = Job.objects.get(pk=works.job.pk)
    return works


def test_the_port_map_names_every_cable_port_and_spare(works: Works, media: Path) -> None:
    _, body = made(media, "port_map", job=works.job)
    links = [end for link in works.job.ports for end in link["between"]]
    assert_says(body, "Power off before a plug is pulled", *links, "spare: cap on", "NEW")
    facts = facts_of("port_map", subject_of(Document(kind="port_map", job=works.job)))
    rows = {box["unit"]: {row["port"]: row["to"] for row in box["rows"]} for box in facts["boxes"]}
    assert "sw1" in rows
    for link in works.job.ports:
        (one, two), (port, other) = link["between"], link["ports"]
        if one in rows:
            assert rows[one][port] == f"{two}:{other}"
        if two in rows:
            assert rows[two][other] == f"{one}:{port}"


def test_each_cable_has_a_flag_for_each_end(works: Works, media: Path) -> None:
    facts = facts_of("labels", subject_of(Document(kind="labels", job=works.job)))
    flags = [flag for sheet in facts["sheets"] for flag in sheet]
    assert len(flags) == 2 * len(works.job.ports)
    ends = {
        f"{unit}:{port}"
        for link in works.job.ports
        for unit, port in zip(link["between"], link["ports"], strict=True)
    }
    assert {flag["here"] for flag in flags} == ends
    _, body = made(media, "labels", job=works.job)
    assert_says(body, *ends, works.world.boat.name, works.job.number)


@pytest.mark.parametrize(
    ("size", "width_pt"), [("letter-30", 612), ("letter-10", 612), ("a4-21", 595), ("a4-8", 595)]
)
def test_the_sheet_is_that_of_the_shops_setting(
    works: Works, media: Path, size: str, width_pt: int
) -> None:
    Shop.objects.update(label_sheet=size)
    job = Job.objects.get(pk=works.job.pk)
    job.ports = job.ports * 8
    job.plan = {**job.plan, "links": job.plan["links"] * 8}
    job.save()
    document, body = made(media, "labels", job=job)
    pages = PdfReader(BytesIO(body)).pages
    assert round(pages[0].mediabox.width) == width_pt
    flags = 2 * len(job.plan["links"])
    assert document.pages == -(-flags // FLAGS_A_SHEET[size])


def test_a_change_order_shows_what_was_found_the_difference_and_who_agreed(
    works: Works, media: Path
) -> None:
    change = changing.begin_change(
        job=works.job,
        ground="wish",
        found="She wants one at the console too.",
        wishes=[add("display-r", at="console")],
        by=works.technician,
    )
    change = changing.choose_plan(change=change, option=1, by=works.technician)
    change = changing.offer_change(change=change, by=works.technician)
    _, body = made(media, "change_order", job=works.job)
    assert_says(body, "She wants one at the console too.", "I agree to this change", "Together")
    change_answers.agree_change(
        change=change, name="Ada Finch", how="phone", note="Read back.", by=works.technician
    )
    paper = Document.objects.filter(job=works.job, kind="change_order").latest("version")
    assert run_row("document", paper.pk) is True
    paper.refresh_from_db()
    assert_says((media / paper.file).read_bytes(), "Agreed by Ada Finch", "by phone, read back")


def test_the_commissioning_record_keeps_readings_serials_and_what_was_left(
    works: Works, media: Path
) -> None:
    finished(works)
    _, body = made(media, "record", job=works.job)
    reading = works.job.steps.filter(asks="reading", state="done").first()
    fitted = works.job.steps.filter(kind="fit").first()
    left = works.job.steps.filter(state="could_not").first()
    assert_says(body, "CAUTIONS TICKED", reading.title, reading.figure, fitted.found)
    assert_says(body, "Left undone, and why", left.title, "The panel is rotten.", "Sea trial")
    assert str(works.technician) in " ".join(pages_of(body))


def test_a_reading_outside_its_range_is_said(works: Works, media: Path) -> None:
    step = works.job.steps.filter(asks="reading", expect_high__isnull=False).first()
    step.state, step.reading, step.done_at = "done", step.expect_high + 40, works.job.started_at
    step.save()
    _, body = made(media, "record", job=works.job)
    assert_says(body, "outside what was expected", "not read yet")


def test_the_handover_pack_shows_the_boat_as_built(works: Works, media: Path) -> None:
    finished(works)
    unit = Unit.objects.get(fitted_under=works.job.number, model__kind="display")
    unit.model.warranty_months = 24
    unit.model.save()
    _, body = made(media, "handover", job=works.job)
    assert_says(body, "KNOW THIS FIRST", unit.serial, "new with this job", "Whom to call")
    assert_says(body, "How to switch it all off", "not known", works.shop.name)
    assert "24" not in unit.serial
    until = months_on(unit.fitted_on, 24)
    assert_says(body, f"{until.day} {until:%b %Y}")


@pytest.mark.parametrize(
    ("day", "months", "until"),
    [
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2026, 11, 27), 24, date(2028, 11, 27)),
        (date(2026, 12, 1), 1, date(2027, 1, 1)),
        (None, 12, None),
        (date(2026, 1, 1), None, None),
    ],
)
def test_a_warranty_ends_on_the_same_day_or_the_months_last(day, months, until) -> None:
    assert months_on(day, months) == until


@pytest.mark.parametrize("kind", OF_JOB)
def test_the_same_facts_give_the_same_bytes(works: Works, media: Path, kind: str) -> None:
    document, body = made(media, kind, job=works.job)
    Document.objects.filter(pk=document.pk).update(row_state="requested")
    assert run_row("document", document.pk) is True
    document.refresh_from_db()
    assert (media / document.file).read_bytes() == body


def test_a_pack_says_when_the_boat_has_changed_since(works: Works, media: Path) -> None:
    finished(works)
    document, _ = made(media, "handover", job=works.job)
    assert facts_changed(document) is False
    Unit.objects.filter(boat=works.world.boat).update(fuse_place="moved behind the panel")
    assert facts_changed(document) is True


@pytest.mark.parametrize("kind", ["record", "handover", "port_map", "labels", "change_order"])
def test_a_job_without_a_plan_has_its_papers_too(works: Works, media: Path, kind: str) -> None:
    Job.objects.filter(pk=works.job.pk).update(case={}, plan={}, ports=[])
    document, body = made(media, kind, job=works.job)
    assert document.pages >= 1
    assert works.job.number in text_of(body)


def test_checking_a_job_asks_for_its_record_and_pack(works: Works, manager: User) -> None:
    finished(works)
    check_job(job=works.job, by=manager, words="She knows.")
    kinds = set(Document.objects.filter(job=works.job).values_list("kind", flat=True))
    assert {"record", "handover"} <= kinds
    again = request_document(kind="record", by=manager, job=works.job)
    assert again.version == 1
    assert digest_of(facts_of("record", subject_of(again)))
