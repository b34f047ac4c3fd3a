"""Ask the fleet: filters, counts, columns, kept questions, files without formulas."""

import io
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from openpyxl import load_workbook

from shopapp.boats.models import Boat, Evidence
from shopapp.fleet.asking import boats_asked, safe_cell
from shopapp.fleet.models import Question

ASK = "fleet:ask"


@pytest.fixture
def boats(fleet):
    """Five boats, told apart by what they carry."""
    return {
        "old": fleet.boat("plover 1.0", "heron 3.0", marina="North Quay"),
        "new": fleet.boat("plover 2.0", "heron 3.1", "weir", marina="North Quay"),
        "blank": fleet.boat("plover", kind="sail"),
        "radar": fleet.boat("heron 3.0"),
        "bare": fleet.boat("weir"),
    }


def found(fleet, boats, **asked):
    names = {boat.pk: name for name, boat in boats.items()}
    shown = {names[boat.pk] for boat in boats_asked(fleet.shop, asked)}
    counted = boats_asked(fleet.shop, asked, counting=True).values_list("pk", flat=True)
    assert {names[pk] for pk in counted} == shown
    return shown


def test_no_part_asked_is_every_boat_in_service(fleet, boats):
    Boat.objects.filter(pk=boats["bare"].pk).update(retired_at=timezone.now())
    assert found(fleet, boats) == {"old", "new", "blank", "radar"}


def test_units_releases_and_pairs(fleet, boats):
    plover, heron = fleet.display, fleet.radar
    one, two = fleet.releases["1.0"], fleet.releases["2.0"]
    for asked, names in [
        ({"a_model": plover}, {"old", "new", "blank"}),
        ({"a_model": plover, "a_from": two}, {"new"}),
        ({"a_model": plover, "a_to": one}, {"old"}),
        ({"a_model": plover, "a_unknown": True}, {"blank"}),
        ({"a_model": plover, "b_model": heron}, {"old", "new"}),
        ({"a_model": plover, "b_model": heron, "b_without": True}, {"blank"}),
        ({"switch": fleet.switch}, {"new", "bare"}),
        ({"least": 2}, {"old", "new"}),
        ({"least": 1, "most": 2}, {"old", "blank", "radar", "bare"}),
        ({"least": 0, "most": 1}, {"blank", "radar", "bare"}),
        ({"kind": "sail"}, {"blank"}),
        ({"marina": "North Quay"}, {"old", "new"}),
        ({"q": boats["radar"].name.lower()}, {"radar"}),
    ]:
        assert found(fleet, boats, **asked) == names, asked


def test_notes_known_problems_and_looks(fleet, boats):
    today = timezone.localdate()
    note = fleet.note(boats["old"], at=timezone.now() - timedelta(days=10))
    known = fleet.known(note)
    Evidence.objects.create(
        boat=boats["new"], fact="year", value="2020", how="seen",
        seen_at=timezone.now() - timedelta(days=30),
    )  # fmt: skip
    month, week = today - timedelta(days=40), today - timedelta(days=7)
    for asked, names in [
        ({"symptom": "reboots"}, {"old"}),
        ({"symptom": "water"}, set()),
        ({"known": known}, {"old"}),
        ({"noted_since": month}, {"old"}),
        ({"noted_since": week}, set()),
        ({"seen_since": month}, {"old", "new"}),
        ({"seen_since": month, "not_since": week}, {"new"}),
    ]:
        assert found(fleet, boats, **asked) == names, asked


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"seen_since": "2026-05-02", "not_since": "2026-05-01"}, "lies before the one"),
        ({"least": "3", "most": "2"}, "less than the figure before"),
        ({"a_from": "1.0"}, "Say first which model"),
    ],
)
def test_ends_the_wrong_way_round_are_refused_in_words(client_for, manager, asked, words):
    page = client_for(manager).get(reverse(ASK), asked)
    assert page.status_code == 422
    assert words in page.text


def test_a_release_that_never_was_is_refused_with_those_that_are(fleet, client_for, manager):
    asked = {"a_model": fleet.display.pk, "a_from": "7.7"}
    page = client_for(manager).get(reverse(ASK), asked)
    assert "never had 7.7. It has 1.0, 2.0." in page.text
    asked |= {"a_from": "2.0", "a_to": "1.0"}
    assert "1.0 came out before 2.0" in client_for(manager).get(reverse(ASK), asked).text


def test_the_page_counts_and_shows_the_columns_chosen(fleet, boats, client_for, manager):
    asked = {"a_model": fleet.display.pk, "columns": ["boat", "units"]}
    page = client_for(manager).get(reverse(ASK), asked)
    assert page.context["count"] == 3
    assert page.context["heads"] == ["Boat", "Units aboard"]
    assert page.context["rows"][0][1][1] == "u0 Bench Plover at 1.0; u1 Bench Heron at 3.0"
    assert page.context["rows"][2][1][1] == "u0 Bench Plover at a release not known"


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_takes_the_same_queries_at_any_length(
    fleet, client_for, manager, count, django_assert_max_num_queries
):
    for _ in range(count):
        fleet.boat("plover 1.0", "weir")
    client = client_for(manager)
    with django_assert_max_num_queries(12):
        page = client.get(reverse(ASK), {"a_model": fleet.display.pk})
    assert page.context["count"] == count


def test_no_cell_of_a_file_is_a_formula(fleet, client_for, manager):
    boat = fleet.boat()
    Boat.objects.filter(pk=boat.pk).update(name="=1+1")
    client = client_for(manager)
    asked = {"columns": ["boat", "owner"]}
    text = b"".join(client.get(reverse("fleet:ask_csv"), asked).streaming_content).decode()
    assert text == "\ufeffBoat,Owner\r\n'=1+1,Owner 0\r\n"
    answer = client.get(reverse("fleet:ask_spreadsheet"), asked)
    sheet = load_workbook(io.BytesIO(b"".join(answer.streaming_content))).active
    assert [[cell.value for cell in row] for row in sheet] == [
        ["Boat", "Owner"],
        ["'=1+1", "Owner 0"],
    ]


@pytest.mark.parametrize(
    ("text", "cell"),
    [("=A1", "'=A1"), ("+1", "'+1"), ("-1", "'-1"), ("@x", "'@x"), ("\tx", "'\tx"), ("a=1", "a=1")],
)
def test_signs_that_begin_a_formula_are_escaped(text, cell):
    assert safe_cell(text) == cell


def test_a_file_of_a_question_that_cannot_be_is_refused(client_for, manager):
    page = client_for(manager).get(reverse("fleet:ask_csv"), {"least": "3", "most": "1"})
    assert page.status_code == 422


def test_questions_are_kept_shared_replaced_and_dropped(client_for, manager, writer, owner):
    client = client_for(manager)
    keep = reverse("fleet:ask_keep")
    client.post(keep, {"name": "Old ones", "asked": "kind=sail", "shared": "on"})
    client.post(keep, {"name": "Mine", "asked": "kind=open"})
    client.post(keep, {"name": "Mine", "asked": "kind=work"})
    assert [row.asked for row in Question.objects.all()] == ["kind=work", "kind=sail"]
    page = client_for(writer).get(reverse(ASK))
    assert [row.name for row in page.context["kept"]] == ["Old ones"]
    shared = Question.objects.get(name="Old ones")
    assert client_for(writer).post(reverse("fleet:ask_drop", args=[shared.pk])).status_code == 404
    client.post(reverse("fleet:ask_drop", args=[shared.pk]))
    assert Question.objects.count() == 1


def test_a_question_without_a_name_is_not_kept(client_for, manager):
    client_for(manager).post(reverse("fleet:ask_keep"), {"name": "", "asked": "kind=sail"})
    assert not Question.objects.exists()


def test_only_those_who_see_the_fleet_ask_it(client_for, technician, stranger, fleet, boats):
    assert client_for(technician).get(reverse(ASK)).status_code == 403
    assert client_for(technician).get(reverse("fleet:ask_csv")).status_code == 403
    page = client_for(stranger).get(reverse(ASK), {"kind": "sail"})
    assert page.context["count"] == 0
