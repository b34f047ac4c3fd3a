"""The life of a work order after it is planned: risk, check, hand-over, bill, comeback."""

import pytest
from django.urls import reverse

from shopapp.accounts.models import Shop, User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Assumption, Document, Job
from shopapp.jobs.services.closing import close_job
from shopapp.jobs.services.comebacks import name_cause, open_comeback
from shopapp.jobs.services.finishing import bill_job, check_job, hand_over_job
from shopapp.jobs.services.risk import take_risk
from shopapp.jobs.services.scheduling import move_along, start_job
from tests.factories.accounts import UserFactory
from tests.jobs.work_world import Works


@pytest.fixture
def works(shop: Shop, writer: User, technician: User) -> Works:
    return Works(shop, writer, technician)


def fresh(job: Job) -> Job:
    return Job.objects.get(pk=job.pk)


def open_question(job: Job) -> Assumption:
    return Assumption.objects.create(
        quote=job.quote,
        number=77,
        key="unit:d9:release",
        text="d9 is on release 3.",
        decides=True,
    )


# What decides whether it works


def test_a_job_does_not_start_while_what_decides_is_open(works: Works) -> None:
    question = open_question(works.job)
    with pytest.raises(MoveRefused, match=r"A77\. d9 is on release 3\."):
        works.start()
    question.state = Assumption.State.CONFIRMED
    question.save()
    start_job(job=fresh(works.job), by=works.technician)
    assert fresh(works.job).state == "on_job"


def test_a_manager_takes_the_risk_by_name(works: Works, manager: User) -> None:
    open_question(works.job)
    take_risk(job=works.job, reason="Owner is sure.", by=manager)
    works.start()
    job = fresh(works.job)
    assert (job.risk_taken_by, job.risk_words) == (manager, "Owner is sure.")
    assert job.moves.filter(by=manager, note__contains="A77 open: Owner is sure.").exists()


def test_only_a_manager_takes_it_and_only_with_words(works: Works, manager: User) -> None:
    open_question(works.job)
    with pytest.raises(MoveRefused, match="Only a manager"):
        take_risk(job=works.job, reason="I am sure.", by=works.technician)
    with pytest.raises(FactRefused, match="Say why"):
        take_risk(job=works.job, reason="  ", by=manager)
    Assumption.objects.all().update(state="confirmed")
    with pytest.raises(MoveRefused, match="Nothing is open"):
        take_risk(job=works.job, reason="I am sure.", by=manager)


def test_the_page_asks_the_manager_and_tells_the_others(
    works: Works, manager: User, client_for: object
) -> None:
    open_question(works.job)
    url = reverse("jobs:job", args=[works.job.pk])
    assert "Let it start" in client_for(manager).get(url).text
    assert "Let it start" not in client_for(works.technician).get(url).text
    client_for(manager).post(reverse("jobs:job_risk", args=[works.job.pk]), {"reason": "Sure."})
    assert f"{manager} lets it start all the same: Sure." in client_for(manager).get(url).text


# The check


@pytest.fixture
def done(works: Works) -> Works:
    works.start()
    works.do_all()
    close_job(job=works.job, by=works.technician)
    works.job = fresh(works.job)
    return works


def test_who_did_the_work_does_not_check_it(done: Works) -> None:
    with pytest.raises(MoveRefused, match="Who did the work"):
        check_job(job=done.job, by=done.technician)
    other = UserFactory(shop=done.shop, role="technician")
    check_job(job=done.job, by=other)
    assert fresh(done.job).state == "checked"


def test_what_was_left_undone_needs_the_owners_word(works: Works, manager: User) -> None:
    works.start()
    works.do_all(but=("label",))
    close_job(job=works.job, by=works.technician)
    job = fresh(works.job)
    left = job.steps.filter(state="could_not").first()
    assert left is not None
    with pytest.raises(FactRefused, match=left.title[:20]):
        check_job(job=job, by=manager)
    check_job(job=job, by=manager, words="She will have it done in spring.")
    assert fresh(job).moves.filter(note="She will have it done in spring.").exists()


def test_the_check_button_asks_for_the_words_it_needs(
    works: Works, manager: User, client_for: object
) -> None:
    works.start()
    works.do_all(but=("label",))
    close_job(job=works.job, by=works.technician)
    client = client_for(manager)
    url = reverse("jobs:job_move", args=[works.job.pk, "checked"])
    page = client.post(url)
    assert page.status_code == 422
    assert "What the owner said" in page.text
    assert client.post(url, {"reason": "Later."}).status_code == 302
    assert fresh(works.job).state == "checked"


# Hand-over, bill, books


def test_to_the_end(done: Works, manager: User, parts_person: User) -> None:
    check_job(job=done.job, by=manager)
    with pytest.raises(FactRefused, match="name of who took it over"):
        hand_over_job(job=fresh(done.job), reason=" ", by=done.writer)
    hand_over_job(job=fresh(done.job), reason="Ada Finch", by=done.writer)
    with pytest.raises(FactRefused, match="number of the bill"):
        bill_job(job=fresh(done.job), reason="", by=parts_person)
    bill_job(job=fresh(done.job), reason="B-17", by=parts_person)
    move_along(job=fresh(done.job), after="closed", by=parts_person)
    job = fresh(done.job)
    assert (job.state, job.handed_over_to, job.bill_number) == ("closed", "Ada Finch", "B-17")
    assert job.closed_at is not None


def test_the_books_stay_open_while_parts_are_out(done: Works, manager: User) -> None:
    Job.objects.filter(pk=done.job.pk).update(state="billed", handed_over_to="Ada Finch")
    done.job.pick_lists.update(state="staged")
    with pytest.raises(MoveRefused, match=r"pick list of .* is still open"):
        move_along(job=fresh(done.job), after="closed", by=manager)


# Comebacks


def test_a_comeback_is_a_new_job_with_its_cause(done: Works) -> None:
    back = open_comeback(
        job=done.job, cause="unknown", words="The bow display is dark.", by=done.writer
    )
    assert (back.state, back.comeback_of, back.comeback_cause) == ("ready", done.job, "unknown")
    assert back.number != done.job.number
    assert "Reported: The bow display is dark." in back.steps.first().detail
    assert list(back.steps.filter(asks="reading").values_list("key", flat=True)) == [
        "reading:volts",
        "reading:backbone",
    ]
    assert Document.objects.filter(job=back, kind="work_order").exists()
    assert fresh(done.job).state == "done"
    name_cause(job=back, cause="fitting", by=done.writer)
    assert fresh(back).comeback_cause == "fitting"


def test_a_job_that_is_not_done_cannot_come_back(works: Works) -> None:
    with pytest.raises(MoveRefused, match="not done yet"):
        open_comeback(job=works.job, cause="part", words="Dark.", by=works.writer)


def test_a_comeback_needs_words_and_a_known_cause(done: Works) -> None:
    with pytest.raises(FactRefused, match="what the customer reports"):
        open_comeback(job=done.job, cause="part", words=" ", by=done.writer)
    with pytest.raises(FactRefused, match="Say the cause"):
        open_comeback(job=done.job, cause="ghosts", words="Dark.", by=done.writer)
    with pytest.raises(MoveRefused, match="is no comeback"):
        name_cause(job=done.job, cause="part", by=done.writer)


def test_a_comeback_is_worked_to_its_end(done: Works, client_for: object) -> None:
    page = client_for(done.writer).post(
        reverse("jobs:job_comeback", args=[done.job.pk]),
        {"words": "The bow display is dark.", "cause": "unknown"},
        follow=True,
    )
    assert "Comeback of" in page.text
    first = done.job
    done.job = Job.objects.get(comeback_of=first)
    done.start()
    done.do_all()
    close_job(job=done.job, by=done.technician)
    assert fresh(done.job).state == "done"
    page = client_for(done.writer).get(reverse("jobs:job", args=[first.pk])).text
    assert f"{done.job.number}</a>" in page
    assert "cause: not known yet" in page
