"""What a tablet takes along, what the shell is made of, and what the desk sees."""

import gzip
import json
import re

import pytest

from shopapp.catalog.models import PortLight
from shopapp.jobs.models import WorkStep
from shopapp.jobs.services.scheduling import hold_job
from shopapp.tablet.models import Foreseen
from shopapp.tablet.payload import job_payload
from shopapp.tablet.services.foreseeing import advance_foreseen, work_out
from tests.jobs.work_world import model


def take(tablet) -> dict:
    answer = tablet.client.get(f"/api/tablet/jobs/{tablet.job.pk}/")
    assert answer.status_code == 200
    return answer.json()


def test_a_job_comes_whole(works, device):
    PortLight.objects.create(
        model=model(works.shop, works.world.units["d1"].model.code),
        colour="green",
        pattern="steady",
        meaning="link",
    )
    facts = take(device())
    assert facts["job"]["number"] == works.job.number
    assert facts["steps"][0]["caution"] is True
    volts = next(step for step in facts["steps"] if step["expect"].get("unit") == "V")
    assert volts["expect"]["next"][0]["text"].startswith("Measure at the battery")
    assert "multimeter, DC volts" in volts["tools"]
    fit = next(step for step in facts["steps"] if step["kind"] == "fit")
    assert fit["parts"]
    code = works.world.units["d1"].model.code
    assert facts["catalogue"][code]["lights"][0]["meaning"] == "link"
    assert facts["catalogue"][code]["releases"]
    assert {row["unit"] for row in facts["ports"]} >= {"d1"}
    assert facts["sheets"]["punch"]
    assert facts["sheets"]["trials"]


def test_the_cautions_that_starting_lays_come_along_before_it(works, device, writer):
    hold_job(job=works.job, reason="Rain", by=works.technician)
    works.job.steps.filter(key="caution:Z14").delete()
    before = works.job.steps.count()
    for _ in range(2):
        facts = take(device())
        assert "caution:Z14" in {step["key"] for step in facts["steps"]}
    assert works.job.steps.count() == before + 1


def test_an_unchanged_job_is_not_sent_again(works, device):
    tablet = device()
    stamp = take(tablet)["stamp"]
    address = f"/api/tablet/jobs/{works.job.pk}/"
    assert tablet.client.get(address, headers={"If-None-Match": f'"{stamp}"'}).status_code == 304
    WorkStep.objects.filter(job=works.job).update(note="changed")
    assert tablet.client.get(address, headers={"If-None-Match": f'"{stamp}"'}).status_code == 200


def test_it_is_packed_for_a_thin_line(works, device):
    tablet = device()
    address = f"/api/tablet/jobs/{works.job.pk}/"
    answer = tablet.client.get(address, headers={"Accept-Encoding": "gzip"})
    assert answer["Content-Encoding"] == "gzip"
    assert json.loads(gzip.decompress(answer.content))["job"]["pk"] == works.job.pk


def test_the_queries_do_not_grow_with_the_job(works, device, django_assert_max_num_queries):
    with django_assert_max_num_queries(28):
        job_payload(works.job, works.technician)


def test_only_the_own_jobs_of_the_next_days_are_taken_along(works, device, second):
    heads = device().client.get("/api/tablet/jobs/").json()["jobs"]
    assert [head["pk"] for head in heads] == [works.job.pk]
    assert device(second).client.get("/api/tablet/jobs/").json()["jobs"] == []


def test_the_phone_is_only_for_who_needs_it(works, device, second):
    works.job.customer.phones.create(number="555-0100", label="home")
    assert take(device())["where"]["phones"]
    works.job.planned_on = None
    works.job.save()
    assert take(device(second))["where"]["phones"] == []


def test_the_answers_for_what_may_be_found_are_worked_out_by_the_worker(works, device):
    tablet = device()
    assert take(tablet)["foreseen"] == {"state": "requested", "answers": []}
    row = Foreseen.objects.get()
    assert advance_foreseen(row.pk)
    facts = take(tablet)["foreseen"]
    assert facts["state"] == "ready"
    releases = [one for one in facts["answers"] if one["fact"] == "release"]
    assert releases
    assert {one["verdict"] for one in facts["answers"]} <= {
        "stands", "other_updates", "other_parts", "breaks", "not_known",
    }  # fmt: skip
    assert not advance_foreseen(row.pk)


def test_the_fault_finders_table_travels_with_the_job(works, device):
    tablet = device()
    assert take(tablet)["finder"] == {}
    advance_foreseen(Foreseen.objects.get().pk)
    table = take(tablet)["finder"]
    assert table["causes"]
    assert set(table["healthy"]) == set(table["looks"])
    assert all(set(one["otherwise"]) <= set(table["looks"]) for one in table["causes"])


def test_what_time_does_not_reach_is_not_known(works):
    assert {one["verdict"] for one in work_out(works.job, seconds=0)} == {"not_known"}


def test_the_shell_holds_nothing_of_anybody_and_is_open(client, db):
    page = client.get("/tab/")
    assert page.status_code == 200
    assert "Set-Cookie" not in page.headers
    policy = page["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "unsafe" not in policy
    assert not re.search(r"<script(?![^>]*\bsrc=)|\bstyle=|https?://", page.content.decode())


def test_only_the_scanner_may_compile(client, db):
    assert "'wasm-unsafe-eval'" in client.get("/tab/scan/")["Content-Security-Policy"]
    for address in ("/tab/", "/sign-in/"):
        assert "wasm" not in client.get(address)["Content-Security-Policy"]


def _is_there(client, address: str) -> bool:
    answer = client.get(address)
    answer.close()
    return answer.status_code == 200


def test_the_worker_names_every_file_and_each_is_there(client, db):
    answer = client.get("/tab/sw.js")
    assert answer["Content-Type"].startswith("text/javascript")
    assert "no-cache" in answer["Cache-Control"]
    text = answer.content.decode().replace("\\u002D", "-")
    files = json.loads("[" + re.search(r"const FILES = \[(.*?)\];", text).group(1) + "]")
    assert len(files) > 20
    assert [address for address in files if not _is_there(client, address)] == []


def test_another_file_is_another_build(client, db, monkeypatch):
    before = client.get("/tab/sw.js").content
    monkeypatch.setattr("shopapp.tablet.shell.STYLES", ("css/tokens.css",))
    assert client.get("/tab/sw.js").content != before


def test_it_installs_like_an_app(client, db):
    facts = client.get("/tab/manifest.webmanifest").json()
    assert (facts["scope"], facts["display"]) == ("/tab/", "standalone")
    assert all(_is_there(client, icon["src"]) for icon in facts["icons"])


@pytest.mark.parametrize("role", ["writer", "parts_person"])
def test_who_does_not_work_on_boats_sends_nothing(works, device, role, request):
    tablet = device(request.getfixturevalue(role))
    assert tablet.send(tablet.entry("start")).status_code == 403


def test_the_desk_sees_what_came_from_the_boat(works, device, writer, client_for):
    tablet = device()
    punch = take(tablet)["sheets"]["punch"][0]
    tablet.sent(
        tablet.set(f"punch:{punch['key']}", state="ok"),
        tablet.set("trial:stations", state="not_tried", note="Fog"),
        tablet.set("ask:1", words="d1 is another model", state="open"),
        tablet.set("sign:customer", name="Ada Finch", words="Seen", place="Alder Creek"),
        tablet.set("time:1", begun="2026-06-01T08:00:00Z", ended="2026-06-01T09:30:00Z"),
    )
    page = client_for(writer).get(f"/jobs/{works.job.pk}/boat-side/").content.decode()
    for words in ("d1 is another model", "Ada Finch", "Not tried", "Fog", "1 h 30 min worked"):
        assert words in page


def test_checking_and_handing_over_ask_for_their_sheets(works, device, manager):
    works.do_all()
    own = device()
    assert own.outcome(own.entry("close")) == ["taken"]
    tablet = device(manager)
    (answer,) = tablet.sent(tablet.entry("move", after="checked"))
    assert "The punch list is not answered" in answer["message"]
    rows = take(tablet)["sheets"]["punch"]
    tablet.sent(*[tablet.set(f"punch:{row['key']}", state="ok") for row in rows])
    (answer,) = own.sent(own.entry("move", after="checked"))
    assert "Who did the work does not check it" in answer["message"]
    assert tablet.outcome(tablet.entry("move", after="checked")) == ["taken"]
    (answer,) = tablet.sent(tablet.entry("move", after="handed_over"))
    assert "has not signed" in answer["message"]
    tablet.sent(tablet.set("sign:customer", name="Ada Finch"))
    assert tablet.outcome(tablet.entry("move", after="handed_over")) == ["taken"]
    works.job.refresh_from_db()
    assert (works.job.state, works.job.handed_over_to) == ("handed_over", "Ada Finch")


def test_a_helper_is_put_on_and_taken_off_by_the_desk(works, second, writer, client_for):
    client = client_for(writer)
    address = f"/jobs/{works.job.pk}/helpers/"
    client.post(address, {"user": second.pk})
    assert [row.user for row in works.job.helpers.all()] == [second]
    client.post(address, {"drop": second.pk})
    assert works.job.helpers.count() == 0
    assert client.post(address, {"user": writer.pk}).status_code == 422
