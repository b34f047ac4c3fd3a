"""Entries from the boat: each accepted once, merged by field, refused with words."""

import json
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from shopapp.boats.models import Evidence
from shopapp.jobs.models import Job, Move, Problem
from shopapp.jobs.services.scheduling import cancel_job, hold_job, schedule_job
from shopapp.tablet.models import BoatFact, Clash, Entry, Tablet
from shopapp.tablet.services.settling import add_helper
from tests.jobs.work_world import Works, tomorrow
from tests.tablet.tablets import fields_for


def first(works: Works, kind: str):
    return works.steps(kind)[0]


def tick_cautions(works, tablet):
    return [tablet.on_step(one, state="done") for one in works.steps() if one.caution]


def test_the_same_entry_ten_times_counts_once(works, device):
    tablet = device()
    caution = works.steps()[0]
    entry = tablet.on_step(caution, state="done")
    assert [tablet.outcome(entry)[0] for _ in range(10)] == ["taken"] * 10
    assert tablet.outcome(*[entry] * 10) == ["taken"] * 10
    assert Entry.objects.count() == 1
    caution.refresh_from_db()
    assert caution.state == "done"


def test_a_whole_job_in_one_batch_closes_it_and_writes_the_boat(works, device):
    tablet = device()
    rows = tick_cautions(works, tablet)
    rows += [tablet.on_step(one, **fields_for(one)) for one in works.steps() if not one.caution]
    rows.append(tablet.entry("close", used={}))
    assert set(tablet.outcome(*rows)) == {"taken"}
    works.job.refresh_from_db()
    assert works.job.state == "done"
    assert Evidence.objects.filter(job_number=works.job.number, fact="serial").exists()


def test_a_batch_that_arrives_out_of_order_is_put_in_the_tablets_order(works, device):
    tablet = device()
    cautions = tick_cautions(works, tablet)
    step = first(works, "fit")
    answer = tablet.on_step(step, state="done", found="SN-1")
    assert set(tablet.outcome(answer, *reversed(cautions))) == {"taken"}


def test_an_older_entry_that_comes_last_does_not_win(works, device):
    tablet = device()
    tablet.sent(*tick_cautions(works, tablet))
    step = first(works, "fit")
    older = tablet.on_step(step, state="done", found="SN-1", note="first")
    newer = tablet.on_step(step, {"note": "first"}, note="second")
    tablet.sent(older | {"seq": older["seq"]})
    tablet.sent(newer)
    late = older | {"uid": tablet.entry("set")["uid"]}
    assert tablet.outcome(late) == ["overtaken"]
    step.refresh_from_db()
    assert step.note == "second"


def test_two_technicians_merge_by_field(works, device, second):
    add_helper(job=works.job, user=second)
    one, other = device(), device(second)
    one.sent(*tick_cautions(works, one))
    step = first(works, "fit")
    assert one.outcome(one.on_step(step, state="done", found="SN-9")) == ["taken"]
    assert other.outcome(other.on_step(step, state="done", note="Panel is thin here")) == ["taken"]
    step.refresh_from_db()
    assert (step.found, step.note) == ("SN-9", "Panel is thin here")
    assert step.done_by == works.technician


def test_a_true_clash_keeps_both_values_for_a_person(works, device, second):
    add_helper(job=works.job, user=second)
    one, other = device(), device(second)
    one.sent(*tick_cautions(works, one))
    step = first(works, "fit")
    one.sent(one.on_step(step, state="done", found="SN-9"))
    answer = other.send(other.on_step(step, state="done", found="SN-6")).json()
    assert answer["answers"][0]["outcome"] == "clash"
    told = answer["jobs"][str(works.job.pk)]["clashes"]
    assert [(row["standing"], row["other"]) for row in told] == [("SN-9", "SN-6")]
    assert told[0]["standing_by"] == str(works.technician)
    step.refresh_from_db()
    assert step.found == "SN-9"


@pytest.mark.parametrize(("chosen", "kept"), [("standing", "SN-9"), ("other", "SN-6")])
def test_a_clash_is_settled_by_a_person(works, device, second, chosen, kept):
    add_helper(job=works.job, user=second)
    one, other = device(), device(second)
    one.sent(*tick_cautions(works, one))
    step = first(works, "fit")
    one.sent(one.on_step(step, state="done", found="SN-9"))
    other.sent(other.on_step(step, state="done", found="SN-6"))
    clash = Clash.objects.get()
    url = f"/api/tablet/clashes/{clash.pk}/"
    answer = other.client.post(url, {"chosen": chosen}, content_type="application/json")
    assert answer.status_code == 200
    assert answer.json()["clashes"] == []
    step.refresh_from_db()
    assert step.found == kept
    again = one.client.post(url, {"chosen": chosen}, content_type="application/json")
    assert again.status_code == 200
    opposite = {"standing": "other", "other": "standing"}[chosen]
    late = one.client.post(url, {"chosen": opposite}, content_type="application/json")
    assert late.status_code == 409
    assert str(second) in late.json()["detail"]


def test_a_clock_two_days_wrong_is_put_right(works, device):
    tablet = device(clock=timedelta(days=2))
    caution = works.steps()[0]
    tablet.sent(tablet.on_step(caution, ago=timedelta(minutes=40), state="done"))
    caution.refresh_from_db()
    off = abs(caution.done_at - (timezone.now() - timedelta(minutes=40)))
    assert off < timedelta(seconds=30)
    assert abs(Tablet.objects.get().clock_off_ms + 2 * 86_400_000) < 30_000


def test_an_entry_is_never_of_the_future(works, device):
    tablet = device()
    caution = works.steps()[0]
    tablet.sent(tablet.on_step(caution, ago=timedelta(hours=-3), state="done"))
    caution.refresh_from_db()
    assert caution.done_at <= timezone.now()


def test_a_cancelled_job_keeps_the_entries_for_the_desk(works, device, manager):
    hold_job(job=works.job, reason="Owner away", by=works.technician)
    works.job.refresh_from_db()
    cancel_job(job=works.job, reason="The boat was sold.", by=manager)
    tablet = device()
    (answer,) = tablet.sent(tablet.on_step(works.steps()[0], state="done"))
    assert answer["outcome"] == "refused"
    assert "was cancelled by Mona Reed (The boat was sold.)" in answer["message"]
    assert "The desk sees this entry" in answer["todo"]
    assert works.steps()[0].state == "todo"
    assert Entry.objects.get().body["fields"] == {"state": "done"}


@pytest.mark.parametrize("role", ["manager", "writer"])
def test_a_job_given_to_another_keeps_the_entries_and_the_desk_may_take_them(
    works, device, second, manager, writer, client_for, role
):
    tablet = device()
    Job.objects.filter(pk=works.job.pk).update(technician=second)
    caution = works.steps()[0]
    (answer,) = tablet.sent(tablet.on_step(caution, state="done"))
    assert answer["outcome"] == "refused"
    assert "Tess Holm's job now" in answer["message"]
    row = Entry.objects.get()
    desk = {"manager": manager, "writer": writer}[role]
    page = client_for(desk).get(f"/jobs/{works.job.pk}/boat-side/")
    assert "Take it into the job" in page.content.decode()
    # The job stays its new technician's; the entry stays the first one's own.
    done = client_for(desk).post(f"/entries/{row.pk}/", {"do": "take"})
    assert done.status_code == 302
    row.refresh_from_db()
    caution.refresh_from_db()
    assert (row.outcome, row.decided_by, caution.state) == ("taken", desk, "done")
    assert caution.done_by == works.technician


def test_who_takes_the_move_of_another_moves_the_job(works, device, second, manager, client_for):
    tablet = device()
    Job.objects.filter(pk=works.job.pk).update(technician=second)
    tablet.sent(tablet.entry("hold", reason="Owner has the keys"))
    client_for(manager).post(f"/entries/{Entry.objects.get().pk}/", {"do": "take"})
    works.job.refresh_from_db()
    assert works.job.state == "held"
    assert Move.objects.filter(job=works.job).last().by == manager


def test_a_stranger_to_the_job_takes_nothing_into_it(works, device, second, client_for):
    tablet = device()
    Job.objects.filter(pk=works.job.pk).update(technician=second)
    tablet.sent(tablet.on_step(works.steps()[0], state="done"))
    answer = client_for(works.technician).post(
        f"/entries/{Entry.objects.get().pk}/", {"do": "take"}
    )
    assert answer.status_code == 409
    assert works.steps()[0].state == "todo"


def test_an_entry_left_out_stays_on_record(works, device, second, manager, client_for):
    tablet = device()
    Job.objects.filter(pk=works.job.pk).update(technician=second)
    tablet.sent(tablet.on_step(works.steps()[0], state="done"))
    row = Entry.objects.get()
    client_for(manager).post(f"/entries/{row.pk}/", {"do": "leave"})
    row.refresh_from_db()
    assert (row.outcome, row.decided_by) == ("left_out", manager)
    assert works.steps()[0].state == "todo"
    twice = client_for(manager).post(f"/entries/{row.pk}/", {"do": "take"})
    assert twice.status_code == 409


def test_another_persons_entries_wait_for_that_person(works, device, second):
    tablet = device()
    entry = tablet.on_step(works.steps()[0], state="done")
    borrowed = device(second)
    assert borrowed.outcome(entry) == ["not_yours"]
    assert Entry.objects.count() == 0
    assert tablet.outcome(entry) == ["taken"]


def test_an_ended_session_is_told_and_takes_nothing(works, device):
    tablet = device()
    entry = tablet.on_step(works.steps()[0], state="done")
    stranger = Client()
    batch = {"tablet": tablet.uid, "now": tablet.now_ms(), "entries": [entry]}
    answer = stranger.post(
        "/api/tablet/entries/", json.dumps(batch), content_type="application/json"
    )
    assert answer.status_code == 403
    assert stranger.get("/api/tablet/me/").json()["signed_in"] is False
    assert Entry.objects.count() == 0


def test_another_shops_job_is_no_job(works, device, stranger):
    tablet = device(stranger)
    (answer,) = tablet.sent(tablet.entry("start"))
    assert answer["outcome"] == "no_job"
    assert tablet.client.get(f"/api/tablet/jobs/{works.job.pk}/").status_code == 404


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"state": "could_not"}, "Say why it was not done"),
        ({"state": "done"}, "Write the serial number"),
        ({"state": "gone"}, "Say “did it”"),
        ({"colour": "red"}, "has no “colour”"),
        ({"note": "x" * 3000}, "longer than 2000"),
    ],
)
def test_what_cannot_be_right_is_refused_with_words(works, device, fields, words):
    tablet = device()
    tablet.sent(*tick_cautions(works, tablet))
    (answer,) = tablet.sent(tablet.on_step(first(works, "fit"), **fields))
    assert answer["outcome"] == "refused"
    assert words in answer["message"]


def test_a_step_before_its_cautions_is_refused_and_names_them(works, device):
    tablet = device()
    (answer,) = tablet.sent(tablet.on_step(first(works, "fit"), state="done", found="SN"))
    assert "First tick each caution" in answer["message"]


def test_a_caution_laid_down_after_leaving_takes_no_work_back(works, device):
    tablet = device()
    known = [one.key for one in works.steps() if one.caution]
    tablet.sent(*tick_cautions(works, tablet))
    last = works.job.steps.order_by("-position").first().position
    works.job.steps.create(
        key="caution:new", position=last + 1, kind="caution", title="New", caution=True
    )
    step = first(works, "fit")
    refused = tablet.on_step(step, state="done", found="SN-1")
    assert tablet.outcome(refused) == ["refused"]
    entry = tablet.on_step(step, state="done", found="SN-1")
    entry["body"]["cautions"] = known
    assert tablet.outcome(entry) == ["taken"]
    assert works.job.steps.get(key="caution:new").state == "todo"


def test_an_answer_is_taken_back(works, device):
    tablet = device()
    caution = works.steps()[0]
    tablet.sent(tablet.on_step(caution, state="done"))
    tablet.sent(tablet.on_step(caution, {"state": "done"}, state=""))
    caution.refresh_from_db()
    assert (caution.state, caution.done_at) == ("todo", None)


def test_what_is_found_of_a_unit_goes_to_the_record_with_its_time(works, device):
    tablet = device()
    ago = timedelta(minutes=30)
    assert tablet.outcome(tablet.set("unit:d1", ago=ago, serial="SN-77")) == ["taken"]
    row = Evidence.objects.get(fact="serial", value="SN-77")
    assert (row.how, row.by, row.job_number) == ("seen", works.technician, works.job.number)
    assert abs(row.seen_at - (timezone.now() - ago)) < timedelta(seconds=30)


def test_a_release_that_the_model_never_had_is_refused(works, device):
    tablet = device()
    (answer,) = tablet.sent(tablet.set("unit:d1", release="99.9"))
    assert answer["outcome"] == "refused"
    assert "99.9" in answer["message"]
    assert not BoatFact.objects.exists()


def test_a_problem_is_noted_once_with_its_time(works, device):
    tablet = device()
    entry = tablet.entry(
        "problem", "", timedelta(minutes=20), symptom="not_seen", words="d1 is missing", unit="d1"
    )
    assert tablet.outcome(entry) == tablet.outcome(entry) == ["taken"]
    problem = Problem.objects.get()
    assert (problem.words, problem.unit.name) == ("d1 is missing", "d1")
    assert timezone.now() - problem.noted_at > timedelta(minutes=19)


def test_starting_and_holding_come_from_the_boat_too(works, device):
    tablet = device()
    assert tablet.outcome(tablet.entry("hold", reason="Owner has the keys")) == ["taken"]
    works.job.refresh_from_db()
    assert (works.job.state, works.job.held_reason) == ("held", "Owner has the keys")
    assert tablet.outcome(tablet.entry("start")) == ["taken"]
    works.job.refresh_from_db()
    assert works.job.state == "on_job"


def test_a_job_moved_to_another_day_is_started_again(works, device, writer):
    hold_job(job=works.job, reason="Rain", by=works.technician)
    works.job.refresh_from_db()
    schedule_job(job=works.job, technician=works.technician, day=tomorrow(), by=writer)
    assert device().outcome(device().entry("start")) == ["taken"]


@pytest.mark.parametrize(
    "change",
    [
        {"uid": "nothing"},
        {"seq": 0},
        {"seq": "1"},
        {"body": None},
        {"body": {"fields": {"note": "a\x00b"}}},
        {"at": True},
        {"kind": "x" * 40},
    ],
)
def test_what_is_no_entry_is_refused_whole(works, device, change):
    tablet = device()
    answer = tablet.send(tablet.on_step(works.steps()[0], state="done") | change)
    assert answer.status_code == 400
    assert Entry.objects.count() == 0


def test_a_batch_is_bounded(works, device):
    tablet = device()
    entry = tablet.on_step(works.steps()[0], state="done")
    assert tablet.send(*[entry] * 201).status_code == 400
    assert tablet.send().status_code == 400


def test_a_kind_of_a_newer_page_is_refused_with_words(works, device):
    (answer,) = device().sent(device().entry("dance"))
    assert "Reload the tablet's page" in answer["todo"]
