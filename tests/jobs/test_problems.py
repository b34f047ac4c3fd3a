"""Problems: noted at the boat or the desk, found again, solved with their cause."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Problem
from shopapp.jobs.services.closing import close_job
from shopapp.jobs.services.problems import (
    Outcome,
    Seen,
    note_problem,
    open_again,
    settle_problem,
    solve_problem,
)
from tests.jobs.work_world import Works, model


@pytest.fixture
def works(shop, writer, technician):
    return Works(shop, writer, technician)


def note(works, **facts):
    seen = Seen(**{"symptom": "reboots", "words": "Reboots at idle.", **facts})
    return note_problem(job=works.job, seen=seen, by=works.technician)


def picture():
    out = io.BytesIO()
    Image.new("RGB", (40, 30), "teal").save(out, "PNG")
    return SimpleUploadedFile("dash.png", out.getvalue(), content_type="image/png")


def test_a_problem_keeps_model_and_release_of_its_unit(works):
    unit = works.world.units["d1"]
    row = note(works, unit=unit, counterpart=model(works.shop, "switch-b"))
    assert (row.model, row.release.name) == (unit.model, "2.0")
    assert row.counterpart.code == "switch-b"


def test_a_release_found_on_this_job_counts_before_the_record(works):
    works.start()
    for step in works.steps():
        if step.caution:
            works.answer(step)
    works.answer(works.steps("update", "d1")[0], found="2.2")
    assert note(works, unit=works.world.units["d1"]).release.name == "2.2"


def test_a_problem_of_a_new_unit_names_it_once_the_job_is_closed(works):
    fit = next(step for step in works.steps("fit") if step.unit_key.startswith("d"))
    row = note(works, planned=fit.unit_key)
    assert (row.unit, row.model.code, row.release) == (None, "display-r", None)
    works.start()
    works.do_all()
    close_job(job=works.job, by=works.technician)
    row.refresh_from_db()
    assert row.unit.name == fit.unit_key
    assert row.release.name == "3.1"


def test_a_unit_of_another_boat_is_refused(works, shop, writer, technician):
    unit = works.world.units["d1"]
    unit.boat_id = 10**9
    with pytest.raises(FactRefused) as refused:
        note(works, unit=unit)
    assert refused.value.field == "unit"


def test_words_are_needed(works):
    with pytest.raises(FactRefused):
        note(works, words="  ")


def test_solving_needs_a_cause_and_happens_once(works):
    row = note(works)
    with pytest.raises(FactRefused):
        solve_problem(problem=row, outcome=Outcome(cause=" "))
    solved = solve_problem(problem=row, outcome=Outcome(cause="Loose ring on the power plug."))
    assert solved.solved_at is not None
    with pytest.raises(MoveRefused):
        solve_problem(problem=row, outcome=Outcome(cause="Another idea."))
    open_again(problem=solved)
    assert Problem.objects.get(pk=row.pk).solved_at is None


def test_a_problem_is_noted_from_the_page_with_a_photo(
    works, client_for, technician, settings, tmp_path
):
    settings.MEDIA_ROOT = tmp_path
    client = client_for(technician)
    url = reverse("jobs:problem_add", args=[works.job.pk])
    facts = {"symptom": "water", "words": "Water behind the screen.", "minutes_lost": "25"}
    facts |= {"unit": str(works.world.units["d1"].pk), "image": picture()}
    assert client.get(url).status_code == 200
    assert client.post(url, facts).status_code == 302
    row = Problem.objects.get()
    assert (row.minutes_lost, row.unit.name, row.noted_by) == (25, "d1", technician)
    photo = client.get(reverse("jobs:problem_photo", args=[row.pk]))
    assert photo["Content-Type"] == "image/jpeg"
    b"".join(photo.streaming_content)


def test_an_upload_that_is_no_picture_is_refused_and_nothing_typed_is_lost(
    works, client_for, technician
):
    url = reverse("jobs:problem_add", args=[works.job.pk])
    facts = {"symptom": "slow", "words": "Frozen chart."}
    bad = SimpleUploadedFile("virus.png", b"not a picture", content_type="image/png")
    page = client_for(technician).post(url, facts | {"image": bad})
    assert page.status_code == 422
    assert "Frozen chart." in page.content.decode()
    assert "no JPEG or PNG" in page.content.decode()
    assert not Problem.objects.exists()


@pytest.mark.parametrize(
    "wrong", [{"symptom": "odd"}, {"unit": "999999"}, {"minutes_lost": "-3"}, {"words": ""}]
)
def test_what_cannot_be_right_stands_beside_its_field(works, client_for, technician, wrong):
    url = reverse("jobs:problem_add", args=[works.job.pk])
    facts = {"symptom": "slow", "words": "Frozen.", **wrong}
    assert client_for(technician).post(url, facts).status_code == 422
    assert not Problem.objects.exists()


def test_problems_are_listed_searched_and_solved(works, client_for, manager):
    row = note(works, unit=works.world.units["d1"])
    client = client_for(manager)
    url = reverse("jobs:problems")
    assert "Reboots" in client.get(url, {"q": "plover", "solved": "no"}).content.decode()
    assert "No problem found" in client.get(url, {"solved": "yes"}).content.decode()
    solve = reverse("jobs:problem_solve", args=[row.pk])
    assert client.post(solve, {"cause": ""}).status_code == 422
    assert client.post(solve, {"cause": "Thin wire."}).status_code == 302
    page = client.get(reverse("jobs:problem", args=[row.pk])).content.decode()
    assert "Thin wire." in page
    assert client.post(solve, {"cause": "Again."}).status_code == 409


@pytest.mark.parametrize(
    ("role", "status"), [("parts_person", 403), ("stranger", 404), ("writer", 302)]
)
def test_solving_is_bound_to_role_and_shop(works, client_for, request, role, status):
    row = note(works)
    client = client_for(request.getfixturevalue(role))
    url = reverse("jobs:problem_solve", args=[row.pk])
    assert client.post(url, {"cause": "Wire."}).status_code == status


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_the_same_queries_at_any_length(
    works, client_for, writer, count, django_assert_num_queries
):
    for _ in range(count):
        note(works, unit=works.world.units["d1"])
    client = client_for(writer)
    client.get(reverse("jobs:problems"))
    with django_assert_num_queries(3):
        client.get(reverse("jobs:problems"))


def test_a_note_keeps_the_shape_of_the_network(works):
    units = works.world.units
    row = note(works, unit=units["d1"])
    networked = works.job.boat.units.aboard().filter(networked=True).select_related("model")
    switches = [unit for unit in networked if unit.model.kind == "switch"]
    assert row.networked_units == len(networked) - len(switches)
    assert row.shape == ("direct" if not switches else "one_switch")


def test_how_a_problem_ended_is_put_right_later(works):
    row = note(works)
    with pytest.raises(MoveRefused):
        settle_problem(problem=row, outcome=Outcome(cause="Fuse"))
    solve_problem(problem=row, outcome=Outcome(cause="Fuse", cure="New fuse", paid_by="shop"))
    paid = Outcome(cause="Fuse", paid_by="maker", claimed_cents=9000, recovered_cents=6000)
    settle_problem(problem=row, outcome=paid)
    row.refresh_from_db()
    assert (row.paid_by, row.claimed_cents, row.recovered_cents) == ("maker", 9000, 6000)


def test_no_more_comes_back_than_was_claimed(works):
    with pytest.raises(FactRefused) as refused:
        solve_problem(problem=note(works), outcome=Outcome(cause="Fuse", recovered_cents=1))
    assert refused.value.field == "recovered_cents"


def test_the_page_solves_with_cure_and_payer(works, client_for, technician):
    row = note(works)
    address = reverse("jobs:problem_solve", args=[row.pk])
    said = {"cause": "Fuse", "cure": "New holder", "paid_by": "maker", "claimed_cents": "90.00"}
    client_for(technician).post(address, said)
    row.refresh_from_db()
    assert (row.cure, row.claimed_cents) == ("New holder", 9000)
    page = client_for(technician).post(
        address, {"cause": "Fuse", "recovered_cents": "5", "settle": "yes"}
    )
    assert page.status_code == 422
    assert "No more can come back" in page.text
