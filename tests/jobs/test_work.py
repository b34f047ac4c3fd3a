"""The technician's pages: whose job, cautions first, one answer a step, nothing lost."""

import pytest
from django.urls import reverse

from shopapp.customers.models import Phone
from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.jobs.expectations import next_check, verdict_of
from shopapp.jobs.models import WorkStep
from shopapp.jobs.services.scheduling import hold_job, start_job
from shopapp.jobs.services.steps import Answer, answer_step, take_back
from tests.factories.accounts import UserFactory
from tests.jobs.work_world import Works


@pytest.fixture
def works(shop, writer, technician):
    return Works(shop, writer, technician)


@pytest.fixture
def begun(works):
    works.start()
    return works


def tick_all(works):
    for step in works.steps():
        if step.caution:
            works.answer(step)


def post_step(client, works, step, htmx=True, **facts):
    url = reverse("jobs:work_step", args=[works.job.pk, step.pk])
    headers = {"HX-Request": "true"} if htmx else {}
    return client.post(url, {"state": "done", "seen": "", **facts}, headers=headers)


def test_a_job_that_has_not_begun_takes_no_answers(works):
    step = works.steps()[0]
    with pytest.raises(MoveRefused):
        works.answer(step)
    assert WorkStep.objects.get(pk=step.pk).state == "todo"


def test_starting_lays_the_cautions_that_the_records_call_for(begun):
    keys = {step.key for step in begun.steps() if step.caution}
    assert "caution:Z16" in keys  # dock power is not known: taken as present
    assert begun.job.started_at is not None


def test_starting_again_lays_no_caution_twice(begun, technician):
    count = begun.job.steps.count()
    hold_job(job=begun.job, reason="Tide", by=technician)
    begun.job.refresh_from_db()
    began = begun.job.started_at
    start_job(job=begun.job, by=technician)
    begun.job.refresh_from_db()
    assert begun.job.steps.count() == count
    assert begun.job.started_at == began
    assert begun.job.held_reason == ""


def test_no_step_is_answered_before_the_cautions(begun):
    work = next(step for step in begun.steps() if not step.caution)
    with pytest.raises(MoveRefused) as refused:
        begun.answer(work)
    assert "caution" in refused.value.message


def test_a_caution_is_ticked_with_name_and_time(begun, technician):
    caution = next(step for step in begun.steps() if step.caution)
    step = begun.answer(caution)
    assert (step.state, step.done_by) == ("done", technician)
    assert step.done_at is not None


def test_a_caution_is_skipped_only_with_a_reason(begun):
    caution = next(step for step in begun.steps() if step.caution)
    with pytest.raises(FactRefused) as refused:
        begun.answer(caution, state="skipped")
    assert refused.value.field == "note"
    step = begun.answer(caution, state="skipped", note="No dock power at this mooring.")
    assert step.state == "skipped"


def test_could_not_needs_its_reason(begun):
    tick_all(begun)
    fit = begun.steps("fit")[0]
    with pytest.raises(FactRefused) as refused:
        begun.answer(fit, state="could_not")
    assert refused.value.field == "note"


def test_a_fitting_asks_for_the_serial_or_why_it_cannot_be_read(begun):
    tick_all(begun)
    fit = begun.steps("fit")[0]
    with pytest.raises(FactRefused) as refused:
        begun.answer(fit)
    assert refused.value.field == "found"
    assert begun.answer(fit, note="The label is torn off.").state == "done"


def test_a_release_that_the_model_never_had_is_refused_with_the_known_ones(begun):
    tick_all(begun)
    update = begun.steps("update")[0]
    with pytest.raises(FactRefused) as refused:
        begun.answer(update, found="9.9")
    assert refused.value.field == "found"
    assert "9.9" in refused.value.message
    assert "2.0, 2.2" in refused.value.todo


def test_a_reading_out_of_range_is_kept_and_said_in_words(begun):
    tick_all(begun)
    fuse = begun.steps("fuse")[0]
    step = begun.answer(fuse, reading=5)
    assert step.out_of_range
    assert verdict_of(step) == "5 A is too high: 3 A is expected."
    assert "not protected" in next_check(step)


def test_the_same_press_twice_is_one_answer(begun):
    caution = begun.steps()[0]
    first = begun.answer(caution)
    second = begun.answer(caution)
    assert second.done_at == first.done_at


def test_who_comes_second_is_told_and_the_first_answer_stands(begun, technician, manager):
    tick_all(begun)
    fit = begun.steps("fit")[0]
    begun.answer(fit, found="SN-1")
    fit.job = begun.job
    with pytest.raises(StaleRecord) as stale:
        answer_step(step=fit, by=manager, answer=Answer(state="done", found="SN-2"))
    assert str(technician) in stale.value.message
    fit.refresh_from_db()
    assert (fit.found, fit.done_by) == ("SN-1", technician)


def test_an_answer_is_taken_back_with_one_press_unless_it_changed_since(begun, technician):
    step = begun.answer(begun.steps()[0])
    step.job = begun.job
    assert take_back(step=step, by=technician, seen=step.done_at).state == "todo"
    fresh = begun.answer(step)
    fresh.job = begun.job
    with pytest.raises(StaleRecord):
        take_back(step=fresh, by=technician, seen=None)


def test_the_page_shows_cautions_berth_steps_ports_drawing_and_tote(begun, client_for, technician):
    begun.world.boat.berth = "C14"
    begun.world.boat.save()
    page = client_for(technician).get(reverse("jobs:work", args=[begun.job.pk]))
    text = page.content.decode()
    assert page.status_code == 200
    for words in ("Cautions first", "berth C14", "Port map", "<svg", "Parts in the tote"):
        assert words in text
    assert 'class="tablet"' in text


def test_a_step_is_answered_from_the_page_and_the_next_one_is_marked(begun, client_for, technician):
    tick_all(begun)
    client = client_for(technician)
    step = next(step for step in begun.steps() if not step.caution)
    page = post_step(client, begun, step)
    assert page.status_code == 200
    assert page.content.decode().count("data-now") == 1
    assert WorkStep.objects.get(pk=step.pk).state == "done"


def test_without_scripts_the_answer_leads_back_to_the_page(begun, client_for, technician):
    page = post_step(client_for(technician), begun, begun.steps()[0], htmx=False)
    assert page.status_code == 302
    assert page["Location"] == reverse("jobs:work", args=[begun.job.pk])


def test_a_refused_answer_keeps_what_was_typed_beside_its_field(begun, client_for, technician):
    tick_all(begun)
    update = begun.steps("update")[0]
    page = post_step(client_for(technician), begun, update, found="9.9", note="odd page")
    text = page.content.decode()
    assert page.status_code == 422
    assert 'value="9.9"' in text
    assert "odd page" in text
    assert "never had" in text or "ever had" in text
    assert "2.0, 2.2" in text


def test_a_reading_that_is_no_figure_is_refused(begun, client_for, technician):
    tick_all(begun)
    fuse = begun.steps("fuse")[0]
    for typed in ("three", "NaN", "1e99"):
        page = post_step(client_for(technician), begun, fuse, reading=typed)
        assert page.status_code == 422
    fuse.refresh_from_db()
    assert fuse.state == "todo"


def test_a_second_answer_shows_both(begun, client_for, technician, manager):
    tick_all(begun)
    fit = begun.steps("fit")[0]
    begun.answer(fit, found="SN-1")
    page = post_step(client_for(manager), begun, fit, found="SN-2")
    text = page.content.decode()
    assert page.status_code == 409
    assert "SN-1" in text
    assert "SN-2" in text


def test_another_technician_reads_the_job_and_changes_nothing(begun, client_for, shop):
    other = UserFactory(shop=shop, role="technician", full_name="Nell Other")
    client = client_for(other)
    page = client.get(reverse("jobs:work", args=[begun.job.pk]))
    assert page.status_code == 200
    assert "Did it" not in page.content.decode()
    assert post_step(client, begun, begun.steps()[0]).status_code == 403
    assert client.post(reverse("jobs:work_start", args=[begun.job.pk])).status_code == 403
    assert client.get(reverse("jobs:work_close", args=[begun.job.pk])).status_code == 403
    assert begun.steps()[0].state == "todo"


@pytest.mark.parametrize("role", ["writer", "parts_person"])
def test_the_desk_reads_but_does_not_work_the_job(begun, client_for, request, role):
    client = client_for(request.getfixturevalue(role))
    assert client.get(reverse("jobs:work", args=[begun.job.pk])).status_code == 200
    assert post_step(client, begun, begun.steps()[0]).status_code == 403
    assert client.get(reverse("jobs:mine")).status_code == 403


def test_a_stranger_finds_no_such_job(begun, client_for, stranger):
    client = client_for(stranger)
    for name in ("work", "work_close", "job", "job_schedule", "problem_add"):
        assert client.get(reverse(f"jobs:{name}", args=[begun.job.pk])).status_code == 404
    assert post_step(client, begun, begun.steps()[0]).status_code == 404


def test_a_step_of_another_job_is_not_found_under_this_one(begun, client_for, technician):
    url = reverse("jobs:work_step", args=[begun.job.pk, 10**9])
    assert client_for(technician).post(url, {"state": "done"}).status_code == 404


def test_the_phone_is_shown_for_own_and_todays_jobs_only(works, client_for, technician, shop):
    Phone.objects.create(customer=works.job.customer, number="555-0177")
    other = UserFactory(shop=shop, role="technician")
    url = reverse("jobs:work", args=[works.job.pk])
    assert "555-0177" not in client_for(other).get(url).content.decode()
    works.start()
    assert "555-0177" in client_for(technician).get(url).content.decode()


def test_holding_asks_for_the_reason_and_shows_it(begun, client_for, technician):
    client = client_for(technician)
    url = reverse("jobs:work_hold", args=[begun.job.pk])
    assert client.post(url, {"reason": "  "}).status_code == 422
    assert client.post(url, {"reason": "Part missing"}).status_code == 302
    assert "Part missing" in client.get(reverse("jobs:work", args=[begun.job.pk])).content.decode()


def test_own_jobs_stand_in_the_order_of_their_days(begun, client_for, technician):
    text = client_for(technician).get(reverse("jobs:mine")).content.decode()
    assert begun.job.number in text
    assert "On the job" in text


def test_the_close_page_names_what_is_open_and_closes_when_nothing_is(
    begun, client_for, technician
):
    client = client_for(technician)
    url = reverse("jobs:work_close", args=[begun.job.pk])
    assert begun.steps()[0].title.split("(")[0] in client.get(url).content.decode()
    used = {
        f"line-{line.pk}": 0 if line.spare else line.reserved
        for line in begun.job.pick_lists.get().lines.all()
    }
    refused = client.post(url, used)
    assert refused.status_code == 409
    begun.do_all()
    assert client.post(url, used).status_code == 302
    assert "Written to the boat" in client.get(url).content.decode()
    begun.job.refresh_from_db()
    assert begun.job.state == "done"


def test_the_close_page_says_what_could_not_be_done(begun, client_for, technician):
    begun.do_all(but=("fit",))
    text = client_for(technician).get(reverse("jobs:work_close", args=[begun.job.pk]))
    assert "The panel is rotten." in text.content.decode()


def test_the_technicians_page_takes_at_most_15_queries(
    begun, client_for, technician, django_assert_max_num_queries
):
    client = client_for(technician)
    with django_assert_max_num_queries(15):
        client.get(reverse("jobs:work", args=[begun.job.pk]))
