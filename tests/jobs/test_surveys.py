"""Survey sheets: what is asked, how an answer lands on the record, and who may plan again."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image
from pypdf import PdfReader

from planner.services import start_plan
from shopapp.boats.models import Evidence, Photo
from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.jobs.documents.files import paper_bytes
from shopapp.jobs.documents.making import render
from shopapp.jobs.models import Enquiry, Survey, SurveyItem
from shopapp.jobs.services.papers import request_document
from shopapp.jobs.services.quotes import create_quote
from shopapp.jobs.services.surveys import (
    answer_item,
    close_survey,
    could_not,
    drop_survey,
    make_survey,
)
from tests.factories.boats import BankFactory, BoatFactory, LocationFactory, UnitFactory
from tests.factories.boats import RouteFactory as Route
from tests.factories.catalog import CablePartFactory, EquipmentModelFactory


@pytest.fixture
def boat(shop):
    """A display of unknown release at the console, a rough way to the bow, nothing else known."""
    boat = BoatFactory(shop=shop, name="Grey Plover", fuel="", dc_volts=None)
    console = LocationFactory(boat=boat, name="console")
    bow = LocationFactory(boat=boat, name="bow")
    Route(boat=boat, a=console, b=bow, feet=14, sureness="low")
    BankFactory(boat=boat, name="house", chemistry="")
    model = EquipmentModelFactory(
        shop=shop, code="disp-a", name="Bench Display A", releases=["1.0", "2.0"], fuse_ma=3000
    )
    UnitFactory(boat=boat, name="d1", model=model, location=console, networked=None)
    EquipmentModelFactory(shop=shop, code="disp-b", name="Bench Display B")
    for feet in (5, 20):
        CablePartFactory(shop=shop, cable_ft=feet)
    return boat


@pytest.fixture
def enquiry(boat, writer):
    return Enquiry.objects.create(
        shop=boat.shop,
        number="E-1",
        customer=boat.customer,
        boat=boat,
        words="One more display at the bow.",
        taken_by=writer,
    )


def plan(boat, by, enquiry=None):
    wish = {
        "id": "wish-1",
        "kind": "add",
        "device": None,
        "models": ["disp-b"],
        "kind_wanted": "display",
        "location": "bow",
        "networked": True,
    }
    wishes = {
        "requests": [wish],
        "switches": {"models": [], "locations": [], "max_new": 0},
        "options": 2,
    }
    if enquiry:
        wishes["enquiry"] = enquiry.pk
    return start_plan(boat=boat, wishes=wishes, by=by)


@pytest.fixture
def survey(enquiry, boat, writer) -> Survey:
    plan(boat, writer, enquiry)
    return make_survey(boat=boat, enquiry=enquiry, by=writer)


def item_of(survey: Survey, fact: str) -> SurveyItem:
    return survey.items.get(fact=fact)


def answer(survey: Survey, fact: str, value: str, by, **seen) -> SurveyItem:
    facts = {"how": "seen", **seen}
    return answer_item(item=item_of(survey, fact), value=value, by=by, **facts)


def picture(name="dash.jpg") -> SimpleUploadedFile:
    out = BytesIO()
    Image.new("RGB", (40, 30), "navy").save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), "image/jpeg")


# What is asked


def test_the_sheet_asks_what_this_wish_rests_on(survey, boat):
    facts = set(survey.items.values_list("fact", flat=True))

    assert {"release", "networked", "fuel", "dc_volts", "feet"} <= facts
    assert survey.wish == "One more display at the bow."
    assert Enquiry.objects.get().state == "survey"


def test_what_changes_the_plan_comes_before_what_is_always_asked(survey):
    groups = list(survey.items.values_list("group", flat=True))

    assert groups == sorted(groups, key=list(dict.fromkeys(groups)).index)
    assert list(dict.fromkeys(groups)) == [
        "What the plan rests on",
        "What the checks wait for",
        "Always missed",
        "Photos",
    ]


def test_what_is_worth_most_is_asked_first(survey):
    worths = [bool(item.worth) for item in survey.items.filter(group="What the plan rests on")]

    assert any(worths)
    assert worths == sorted(worths, reverse=True)


def test_what_is_known_and_fresh_is_not_asked(boat, enquiry, writer):
    unit = boat.units.get(name="d1")
    boat.fuel, boat.dc_volts, boat.access = "diesel", 12, "Gate 4711"
    boat.hull_number_read = "ZZZ12345C424"
    boat.save()
    unit.networked, unit.fuse_ma = True, 3000
    unit.release = unit.model.releases.first()
    unit.save()
    for fact, value in [
        ("release", "1.0"), ("model", "disp-a"), ("networked", "yes"), ("fuse_ma", "3000"),
    ]:  # fmt: skip
        Evidence.objects.create(boat=boat, unit=unit, fact=fact, value=value, how="bus", by=writer)
    plan(boat, writer, enquiry)

    facts = set(
        make_survey(boat=boat, enquiry=enquiry, by=writer)
        .items.exclude(form="photo")
        .values_list("fact", flat=True)
    )

    gone = {"release", "model", "networked", "fuse_ma", "fuel", "dc_volts", "hull_number_read"}
    assert not facts & (gone | {"way_in"})
    assert "feet" in facts


def test_without_a_planning_the_sheet_asks_what_the_records_leave_open(boat, writer):
    survey = make_survey(boat=boat, by=writer)

    assert {"release", "networked", "fuel"} <= set(survey.items.values_list("fact", flat=True))


def test_each_thing_is_asked_once(survey):
    keys = list(survey.items.values_list("key", flat=True))

    assert len(keys) == len(set(keys))


def test_the_open_sheet_is_opened_again_and_not_made_twice(survey, boat, enquiry, writer):
    assert make_survey(boat=boat, enquiry=enquiry, by=writer) == survey


def test_a_quote_waits_for_its_survey_and_its_assumptions_are_asked(boat, enquiry, writer):
    quote = create_quote(run=plan(boat, writer, enquiry), by=writer, enquiry=enquiry)

    survey = make_survey(boat=boat, quote=quote, enquiry=enquiry, by=writer)

    quote.refresh_from_db()
    assert quote.state == "survey"
    assert set(quote.assumptions.values_list("state", flat=True)) == {"asked"}
    assert quote.moves.last().note == f"Survey {survey} is asked for."


# How answers land


def test_an_answer_lands_on_the_record_with_how_who_and_when(survey, boat, technician):
    seen = timezone.now() - timedelta(hours=3)

    answer(survey, "release", "2.0", technician, how="bus", seen_at=seen)

    unit = boat.units.get(name="d1")
    row = Evidence.objects.get(unit=unit, fact="release")
    assert unit.release.name == "2.0"
    assert (row.how, row.by, row.seen_at, row.note) == ("bus", technician, seen, f"{survey}.")


@pytest.mark.parametrize(
    ("fact", "typed", "kept"),
    [("fuse_ma", "7.5", 7500), ("feet", "16.5", 17), ("rested_mv", "12,6", 12600)],
)
def test_figures_are_typed_as_on_the_meter(survey, boat, technician, fact, typed, kept):
    answer(survey, fact, typed, technician)

    row = Evidence.objects.get(fact=fact)
    assert row.value == str(kept)


@pytest.mark.parametrize("typed", ["", "-1", "1e9", "NaN", "Infinity", "a lot", "0"])
def test_figures_that_cannot_be_are_refused(survey, technician, typed):
    with pytest.raises(FactRefused):
        answer(survey, "feet", typed, technician)
    assert not Evidence.objects.exists()


def test_a_choice_is_one_of_the_list(survey, technician):
    with pytest.raises(FactRefused, match="Choose one"):
        answer(survey, "release", "9.9", technician)


def test_the_same_answer_twice_is_one_piece_of_evidence(survey, technician):
    answer(survey, "feet", "16", technician)
    answer(survey, "feet", "16", technician)

    assert Evidence.objects.filter(fact="feet").count() == 1


def test_another_answer_is_added_and_the_first_stays(survey, technician):
    answer(survey, "feet", "16", technician)
    answer(survey, "feet", "18", technician)

    assert list(Evidence.objects.filter(fact="feet").values_list("value", "standing")) == [
        ("18", "holds"),
        ("16", "old"),
    ]


def test_a_weaker_answer_is_kept_as_disputed_and_says_so(survey, boat, technician):
    answer(survey, "fuel", "diesel", technician, how="seen")
    item = answer(survey, "fuel", "electric", technician, how="customer")

    boat.refresh_from_db()
    assert item.disputed
    assert boat.fuel == "diesel"


def test_what_could_not_be_seen_needs_a_reason_and_reaches_no_record(survey, technician):
    item = item_of(survey, "release")
    with pytest.raises(FactRefused):
        could_not(item=item, note=" ", by=technician)

    item = could_not(item=item, note="The helm was locked.", by=technician)

    assert item.state == "could_not"
    assert not Evidence.objects.exists()


def test_a_closed_sheet_takes_no_answer(survey, technician):
    close_survey(survey=survey, by=technician)

    with pytest.raises(MoveRefused, match="closed"):
        answer(survey, "feet", "16", technician)


def test_a_sheet_is_closed_once(survey, technician, writer):
    again = Survey.objects.get(pk=survey.pk)
    close_survey(survey=survey, by=technician)

    with pytest.raises(StaleRecord):
        close_survey(survey=again, by=writer)
    with pytest.raises(StaleRecord):
        drop_survey(survey=again, by=writer)


def test_a_closed_sheet_lets_the_enquiry_go_on(survey, technician):
    close_survey(survey=survey, by=technician)

    assert Enquiry.objects.get().state == "new"


def test_open_quotes_say_that_they_may_be_planned_again(
    client_for, boat, enquiry, writer, technician
):
    quote = create_quote(run=plan(boat, writer, enquiry), by=writer, enquiry=enquiry)
    desk, page = client_for(writer), reverse("jobs:quote", args=[quote.pk])
    assert "learnt more" not in desk.get(page).content.decode()

    survey = make_survey(boat=boat, quote=quote, enquiry=enquiry, by=writer)
    answer(survey, "release", "2.0", technician, how="bus")
    close_survey(survey=survey, by=technician)

    sheet = desk.get(page).content.decode()
    assert "learnt more" in sheet
    assert "d1: Release 2.0" in sheet
    assert "may be planned again" in desk.get(reverse("jobs:quotes")).content.decode()
    again = desk.post(reverse("jobs:quote_again", args=[quote.pk]))
    assert again.status_code == 302


# The pages


def post(client, item: SurveyItem, **facts):
    data = {f"i{item.pk}-{name}": value for name, value in {"how": "seen", **facts}.items()}
    return client.post(reverse("jobs:survey_answer", args=[item.pk]), data, HTTP_HX_REQUEST="true")


def test_a_photo_becomes_evidence(client_for, survey, technician, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    answered = post(client_for(technician), item_of(survey, "feet"), value="16", image=picture())

    assert answered.status_code == 200
    assert Evidence.objects.get(fact="feet").photo == Photo.objects.get()


def test_a_bomb_of_a_picture_is_refused_in_words(client_for, survey, technician):
    out = BytesIO()
    Image.new("1", (20_000, 20_000)).save(out, "PNG")
    bomb = SimpleUploadedFile("bomb.png", out.getvalue(), "image/png")

    answered = post(client_for(technician), item_of(survey, "feet"), value="16", image=bomb)

    assert answered.status_code == 422
    assert "no JPEG or PNG picture" in answered.content.decode()
    assert 'value="16"' in answered.content.decode()
    assert not Evidence.objects.exists()


def test_a_refused_answer_keeps_what_was_typed(client_for, survey, technician):
    answered = post(client_for(technician), item_of(survey, "feet"), value="1e9")

    assert answered.status_code == 422
    assert 'value="1e9"' in answered.content.decode()


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_asks_the_same_number_of_queries(
    client_for, boat, writer, count, django_assert_num_queries
):
    desk = client_for(writer)
    desk.get(reverse("jobs:surveys"))
    for number in range(count):
        Survey.objects.create(shop=boat.shop, number=f"S-{number}", boat=boat, made_by=writer)

    with django_assert_num_queries(3):
        page = desk.get(reverse("jobs:surveys"))

    assert page.content.decode().count('<th scope="row">') == count


def test_the_sheets_page_keeps_its_number_of_queries(
    client_for, survey, technician, django_assert_num_queries
):
    tablet = client_for(technician)
    address = reverse("jobs:survey", args=[survey.pk])
    tablet.get(address)
    with django_assert_num_queries(5):
        tablet.get(address)
    survey.items.filter(position__gt=3).delete()
    with django_assert_num_queries(5):
        tablet.get(address)


def test_who_may_do_what(client_for, survey, technician, parts_person, stranger):
    item = item_of(survey, "feet")

    assert post(client_for(parts_person), item, value="16").status_code == 403
    assert post(client_for(stranger), item, value="16").status_code == 404
    close = reverse("jobs:survey_drop", args=[survey.pk])
    assert client_for(technician).post(close).status_code == 403
    sheet = reverse("jobs:survey", args=[survey.pk])
    assert client_for(stranger).get(sheet).status_code == 404


# The paper


def crowd(boat, count: int) -> None:
    """A boat with far more not known than a page holds."""
    model = boat.units.get(name="d1").model
    console = boat.locations.get(name="console")
    for number in range(2, count + 2):
        UnitFactory(boat=boat, name=f"d{number}", model=model, location=console, networked=None)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_paper_is_one_page_however_much_is_not_known(boat, writer, settings, tmp_path, paper):
    settings.MEDIA_ROOT, settings.PAPER = tmp_path, paper
    crowd(boat, 24)
    survey = make_survey(boat=boat, by=writer)
    document = request_document(kind="survey", by=writer, survey=survey)
    assert render(document.pk)

    document.refresh_from_db()

    text = PdfReader(BytesIO(paper_bytes(document))).pages[0].extract_text()
    assert document.pages == 1
    assert survey.number in text
    assert "more on the tablet" in " ".join(text.split())
    assert survey.items.first().question.split(":")[0] in " ".join(text.split())


def test_the_same_sheet_gives_the_same_bytes(survey, writer, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    document = request_document(kind="survey", by=writer, survey=survey)
    render(document.pk)
    document.refresh_from_db()
    first = document.digest
    type(document).objects.filter(pk=document.pk).update(row_state="requested", file="")
    render(document.pk)

    document.refresh_from_db()
    assert document.digest == first
