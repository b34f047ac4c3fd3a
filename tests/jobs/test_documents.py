"""Papers are read back: what the records say stands on them, page by page."""

import io
import os
import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from shopapp.accounts.models import User
from shopapp.jobs.documents import making
from shopapp.jobs.documents.facts import digest_of, facts_changed, facts_of, subject_of
from shopapp.jobs.models import Document, Job, PickLine
from shopapp.jobs.services.papers import request_document
from shopapp.pdf import print_html
from tests.jobs.papers_world import add_steps, open_job, sent_quote

KEEP = os.environ.get("DESK_SHOTS")  # a folder to keep the papers in, to look at them


@pytest.fixture(autouse=True)
def media(settings: object, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def job(manager: User) -> Job:
    return open_job(manager, option=2)


def made(media: Path, kind: str, **of: object) -> tuple[Document, bytes]:
    """Ask for a paper and let the worker make it."""
    document = request_document(kind=kind, by=None, **of)
    assert making.render(document.pk) is True
    document.refresh_from_db()
    body = (media / document.file).read_bytes()
    if KEEP:
        Path(KEEP, f"{kind}.pdf").write_bytes(body)
    return document, body


def pages_of(body: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(body)).pages]


def text_of(body: bytes) -> str:
    """All the text with every gap a single space, so that line breaks do not matter."""
    return squeezed(" ".join(pages_of(body)))


def squeezed(text: str) -> str:
    return re.sub(r"\s+", "", text)


def assert_says(body: bytes, *wanted: str) -> None:
    text = text_of(body)
    missing = [words for words in wanted if squeezed(words) not in text]
    assert missing == []


def test_the_work_order_holds_every_step_with_what_it_expects(media: Path, job: Job) -> None:
    _, body = made(media, "work_order", job=job)
    steps = [step for step in job.steps.all() if not step.caution]
    assert len(steps) > 10
    assert_says(body, *(step.title for step in steps), *(step.detail for step in steps))
    assert_says(body, *(step.expect_text for step in steps if step.expect_text))


def test_cautions_come_before_the_steps_and_all_of_them_are_there(media: Path, job: Job) -> None:
    _, body = made(media, "work_order", job=job)
    cautions = [step for step in job.steps.all() if step.caution]
    assert_says(body, *(step.title for step in cautions), *(step.detail for step in cautions))
    text = text_of(body)
    last_caution = max(text.index(squeezed(step.title)) for step in cautions)
    assert last_caution < text.index(squeezed("6. Steps"))


def test_what_nobody_knows_of_the_boat_is_cautioned_as_if_present(media: Path, job: Job) -> None:
    job.boat.banks.all().delete()
    job.steps.filter(caution=True).delete()
    _, body = made(media, "work_order", job=job)
    assert_says(
        body,
        "fuel is not known: taken as present",
        "battery chemistry is not known: taken as present",
        "DC voltage is not known: taken as present",
        "dock power is not known: taken as present",
    )


def test_the_work_order_holds_every_part_and_marks_the_short_ones(media: Path, job: Job) -> None:
    _, body = made(media, "work_order", job=job)
    lines = PickLine.objects.filter(pick_list__job=job).select_related("part")
    assert_says(body, *(f"{line.part.number}{line.part.name}" for line in lines))
    assert_says(body, "SHORT 1")


def test_the_port_map_holds_every_link_with_both_ports(media: Path, job: Job) -> None:
    _, body = made(media, "work_order", job=job)
    aboard = {cable["id"]: cable["cable"] for cable in job.case["boat"]["cables"]}
    assert len(job.ports) == 3
    for link in job.ports:
        (a, b), (a_port, b_port) = link["between"], link["ports"]
        part = aboard.get(link["cable"]) or link["cable"].removeprefix("buy:")
        assert_says(body, f"{a} {a_port} {b} {b_port} {part}")


def test_the_work_order_says_where_who_and_what_must_not_change(media: Path, job: Job) -> None:
    job.boat.marina, job.boat.berth, job.boat.access = "North Basin", "C 14", "Gate code at desk"
    job.boat.save()
    _, body = made(media, "work_order", job=job)
    assert_says(
        body,
        "North Basin, C 14",
        "Gate code at desk",
        "555 0100 (mobile)",
        "Ivo Farrow (son) up to $500.00",
        "I want to see the chart from the bow seat.",
        "The radio stays where it is.",
        "by Odile Farrow",
    )


def test_the_update_plan_stands_in_its_order(media: Path, job: Job) -> None:
    _, body = made(media, "work_order", job=job)
    assert_says(body, "7. Updates, in this order", "1 d1 Bench Display Q 2.0 2.2")


def test_every_page_bears_job_boat_and_its_number(media: Path, job: Job) -> None:
    document, body = made(media, "work_order", job=job)
    pages = pages_of(body)
    assert document.pages == len(pages) > 2
    for number, text in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in text
        assert f"Work order {job.number}" in text
        assert job.boat.name in text


def test_table_heads_stand_on_every_page_that_the_table_reaches(media: Path, job: Job) -> None:
    add_steps(job, 60)
    _, body = made(media, "work_order", job=job)
    pages = [text for text in pages_of(body) if "Further step number" in text]
    assert len(pages) > 2
    assert all("Expected" in text and "Found" in text for text in pages)


def test_the_sign_off_has_three_people(media: Path, job: Job) -> None:
    _, body = made(media, "work_order", job=job)
    assert_says(body, "Technician Name Signature", "Checked by a second person Name Signature")
    assert text_of(body).count("NameSignatureDate,timePlace") == 3


def test_the_pick_list_holds_every_line_with_shelf_and_short(media: Path, manager: User) -> None:
    job = open_job(manager, option=2, stocked=1)
    _, body = made(media, "pick_list", job=job)
    lines = PickLine.objects.filter(pick_list__job=job).select_related("part")
    assert any(line.short for line in lines)
    assert any(line.stock for line in lines)
    assert_says(body, *(f"{line.position}{line.part.number}{line.part.name}" for line in lines))
    assert_says(body, "Shelf 1", "SHORT 1", "to order", "Taken along in case", "Tote ____ of ____")
    assert text_of(body).count("SHORT1") >= sum(1 for line in lines if line.short)


def test_the_tote_label_bears_job_boat_and_day(media: Path, job: Job) -> None:
    _, body = made(media, "pick_list", job=job)
    label = pages_of(body)[-1]
    assert label.count(job.number) == 2  # the head and the label
    assert job.boat.name in label
    assert "3 Dec 2026" in label


def test_the_quote_shows_offered_options_side_by_side_with_their_sums(
    media: Path, manager: User
) -> None:
    quote = sent_quote(manager)
    hidden = quote.options.last()
    hidden.title, hidden.offered = "An option that is kept back", False
    hidden.save()
    _, body = made(media, "quote", quote=quote)
    shown = quote.options.filter(offered=True)
    assert shown.count() >= 2
    for option in shown:
        assert_says(body, option.title, option.sentence, f"${option.total_cents / 100:,.2f}")
        assert_says(body, *(line.description for line in option.lines.all()))
    assert squeezed(hidden.title) not in text_of(body)


def test_the_quote_tells_assumptions_terms_and_days(media: Path, manager: User) -> None:
    quote = sent_quote(manager)
    quote.terms = "Half to begin.\nThe rest on handover."
    quote.not_included = "Lift and bottom paint"
    quote.save()
    _, body = made(media, "quote", quote=quote)
    assert_says(body, *(one.text for one in quote.assumptions.all()), "A1 ◆", "A2")
    assert_says(body, "Subject to confirmation.", "Half to begin.", "The rest on handover.")
    assert_says(
        body, "Lift and bottom paint", "Valid until", quote.token, "Accepted Name Signature"
    )


def test_an_open_assumption_is_never_shown_as_nothing_unknown(media: Path, manager: User) -> None:
    quote = sent_quote(manager)
    facts = facts_of("quote", quote)
    row = next(row for row in facts["compare"] if row["label"].startswith("Not known"))
    marks = {1: "A1 ◆", 2: "A2"}
    for cell, option in zip(row["cells"], quote.options.filter(offered=True), strict=True):
        resting = [one for one in quote.assumptions.all() if one.speaks_of(option)]
        assert resting
        assert cell == [", ".join(marks[one.number] for one in resting)]
    quote.assumptions.update(state="confirmed")
    row = facts_of("quote", type(quote).objects.get(pk=quote.pk))["compare"][-1]
    assert row["cells"] == [["nothing"]] * len(facts["options"])


def test_the_lines_on_paper_add_up_to_the_total(media: Path, manager: User) -> None:
    quote = sent_quote(manager)
    for option in facts_of("quote", quote)["options"]:
        lines = [line["total_cents"] for group in option["groups"] for line in group["lines"]]
        assert sum(lines) + option["rounding_cents"] + option["tax_cents"] == option["total_cents"]


def test_the_same_facts_give_the_same_bytes(media: Path, job: Job) -> None:
    first, body = made(media, "work_order", job=job)
    again = Document.objects.get(pk=first.pk)
    again.row_state, again.tries, again.file = "requested", 0, ""
    again.save()
    making.render(again.pk)
    again.refresh_from_db()
    assert again.digest == first.digest
    assert (media / again.file).read_bytes() == body


def test_a4_and_letter_both_come_out(media: Path, job: Job, settings: object) -> None:
    sizes = {}
    for paper in ("letter", "a4"):
        settings.PAPER = paper
        _, body = made(media, "pick_list", job=job)
        box = PdfReader(io.BytesIO(body)).pages[0].mediabox
        sizes[paper] = (round(float(box.width)), round(float(box.height)))
    assert sizes == {"letter": (612, 792), "a4": (595, 842)}


def test_words_of_people_are_never_markup(media: Path, job: Job) -> None:
    job.must_not_change = "Keep <b>this</b> & <script>that</script>"
    job.save()
    _, body = made(media, "work_order", job=job)
    assert_says(body, "Keep <b>this</b> & <script>that</script>")


def test_a_paper_loads_nothing_from_outside(media: Path, tmp_path: Path) -> None:
    picture = tmp_path / "spy.svg"
    picture.write_text('<svg xmlns="http://www.w3.org/2000/svg"><text y="9">secret</text></svg>')
    printed = print_html(f'<p>seen</p><img src="{picture.as_uri()}">', paper="a4")
    assert "seen" in pages_of(printed.body)[0]
    assert "secret" not in pages_of(printed.body)[0]


def test_a_paper_of_changed_records_says_so(media: Path, job: Job) -> None:
    document, _ = made(media, "work_order", job=job)
    assert facts_changed(document) is False
    job.boat.berth = "D 2"
    job.boat.save()
    assert facts_changed(document) is True


def test_ticking_steps_does_not_age_the_work_order(media: Path, job: Job) -> None:
    document, _ = made(media, "work_order", job=job)
    job.steps.update(state="done", done_at="2026-12-03T10:00:00Z", reading="60.0")
    assert facts_changed(document) is False


def test_facts_take_a_fixed_number_of_queries(job: Job, django_assert_num_queries: object) -> None:
    for count, kind in ((10, "work_order"), (4, "pick_list")):
        document = Document.objects.filter(job=job, kind=kind).get()
        for more in (0, 3):
            add_steps(job, more)
            with django_assert_num_queries(count):
                digest_of(facts_of(kind, subject_of(document)))
        job.steps.filter(key__startswith="more").delete()
