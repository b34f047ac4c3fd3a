"""The fault finder at the boat: opened from a reading, one look after the other, to the cause."""

import json

import pytest
from django.urls import reverse
from django.utils import timezone

from planner.finding.answers import look_of_reading, table_of
from planner.finding.boat import network_of_boat, network_of_plan
from shopapp.jobs.faults import network_of_job
from shopapp.jobs.models import Job, WorkStep
from tests.factories.boats import (
    BackboneFactory,
    BoatFactory,
    CableEndFactory,
    CableFactory,
    DropFactory,
    FeedFactory,
    LocationFactory,
    SegmentFactory,
    TeeFactory,
    UnitFactory,
)

PLAN = {
    "units": [
        {"unit": "d1", "model": "display-x", "networked": True},
        {"unit": "d2", "model": "display-x", "networked": True},
        {"unit": "sw1", "model": "switch-x", "networked": True},
        {"unit": "old", "model": "display-x", "networked": False},
    ]
}
PORTS = [
    {"between": ["d1", "sw1"], "ports": [1, 1], "cable": "N1"},
    {"between": ["d2", "sw1"], "ports": [1, 2], "cable": "buy:CB-10"},
]


def make_job(boat, **facts):
    number = f"J-{Job.objects.count() + 1}"
    return Job.objects.create(
        shop=boat.shop, boat=boat, customer=boat.customer, number=number, title="Refit", **facts
    )


@pytest.fixture
def boat(shop):
    boat = BoatFactory(shop=shop, name="Grebe")
    place = LocationFactory(boat=boat)
    line = BackboneFactory(boat=boat, name="Main")
    tees = [
        TeeFactory(backbone=line, name=f"T{n}", position=n, location=place, terminated=n != 2)
        for n in (1, 2, 3)
    ]
    SegmentFactory(from_tee=tees[0], to_tee=tees[1])
    SegmentFactory(from_tee=tees[1], to_tee=tees[2])
    FeedFactory(tee=tees[1])
    DropFactory(tee=tees[1], unit=None, node="wind")
    DropFactory(tee=tees[1], unit=None, node="depth")
    switch = UnitFactory(
        boat=boat, name="sw1", model__code="switch-x", model__kind="switch",
        model__bridges=True, model__ports=5, model__shop=shop,
    )  # fmt: skip
    switch.model.lights.create(colour="green", pattern="steady", meaning="link is up")
    display = UnitFactory(
        boat=boat, name="d1", model__code="display-x", model__kind="display", model__shop=shop
    )
    UnitFactory(boat=boat, name="d2", model=display.model)
    return boat


@pytest.fixture
def job(boat, shop, technician):
    return make_job(boat, technician=technician, plan=PLAN, ports=PORTS)


@pytest.fixture
def theo(technician, client_for):
    return client_for(technician)


def page(job):
    return reverse("jobs:fault_finder", args=[job.pk])


def ask(client, job, **seen):
    rows = [f"{look.replace('__', ':')}~{answer}" for look, answer in seen.items()]
    return client.get(page(job), {"a": rows})


def test_a_job_goes_by_its_plan_and_a_boat_by_its_record(job, boat):
    planned = network_of_job(job)
    assert [unit["id"] for unit in planned["units"]] == ["d1", "d2", "sw1"]
    assert planned["units"][2]["lights"] is True
    assert [cable["id"] for cable in planned["cables"]] == ["N1", "d2–sw1"]
    assert planned["backbones"][0]["terminators"] == ["T1", "T3"]
    job.ports = []
    assert network_of_job(job) == network_of_boat(boat)


def test_recorded_cables_are_read_with_both_their_ports(boat):
    ends = {unit.name: unit for unit in boat.units.all()}
    cable = CableFactory(boat=boat, label="N7")
    CableEndFactory(cable=cable, side="a", unit=ends["sw1"], port=3)
    CableEndFactory(cable=cable, side="b", unit=ends["d2"], port=1)
    loose = CableFactory(boat=boat, label="N8")
    CableEndFactory(cable=loose, side="a", unit=ends["sw1"], port=4)
    [found] = network_of_boat(boat)["cables"]
    assert found["id"] == "N7"
    assert {(end["unit"], end["port"]) for end in found["ends"]} == {("sw1", 3), ("d2", 1)}


def test_reading_a_network_takes_a_fixed_number_of_queries(
    job, shop, boat, django_assert_num_queries
):
    def read():
        network_of_plan(shop=shop, boat=boat, plan=PLAN, ports=PORTS)

    with django_assert_num_queries(8):
        read()
    tee = boat.backbones.get().tees.get(name="T2")
    for name in ("speed", "rudder"):
        DropFactory(tee=tee, unit=None, node=name)
    with django_assert_num_queries(8):
        read()


def test_a_fresh_page_asks_what_is_seen(theo, job):
    response = theo.get(page(job))
    text = response.content.decode()
    assert response.status_code == 200
    assert "Nothing yet" in text
    assert "list d2 (" in text
    assert "never replaced by a larger one" in text


def test_a_dark_port_names_causes_and_the_next_look(theo, job):
    seen = {"light__sw1__2": "dark", "lit__d2": "on", "lit__sw1": "on", "volts__d2": "ok"}
    text = ask(theo, job, **seen).content.decode()
    assert "Cable d2–sw1 is broken" in text
    assert "Look at next" in text
    assert " min</span>" in text.split("Look at next")[1]


def test_following_the_looks_ends_at_the_cause(theo, job):
    seen = {
        "light__sw1__2": "dark", "lit__d2": "on", "lit__sw1": "on", "volts__d2": "ok",
        "volts__sw1": "ok", "swap_cable__d2–sw1": "comes",
    }  # fmt: skip
    text = ask(theo, job, **seen).content.decode()
    assert "Found" in text
    assert "Cable d2–sw1 is broken, or a plug of it" in text


def test_a_press_swaps_only_the_finder(theo, job):
    text = theo.get(page(job), {"a": "slow~yes"}, headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in text
    assert "A loop" in text


def test_it_says_when_nothing_fits(theo, job):
    seen = {"lit__sw1": "dark", "volts__sw1": "ok", "light__sw1__1": "up"}
    text = ask(theo, job, **seen).content.decode()
    assert "Nothing fits all of this" in text
    assert "Look again at" in text


@pytest.mark.parametrize("bad", ["light:sw9:1~dark", "slow~purple", "nonsense~x"])
def test_what_this_boat_does_not_have_is_said_and_the_page_stays(theo, job, bad):
    response = theo.get(page(job), {"a": bad})
    assert response.status_code == 422
    assert "Begin again" in response.content.decode()


def step(job, **facts):
    kept = {"key": "s", "position": 1, "kind": "test", "title": "Read", "asks": "reading"}
    if facts.get("state") == "done":
        facts |= {"done_at": timezone.now(), "done_by": job.technician}
    return WorkStep.objects.create(job=job, **kept | facts)


def test_a_reading_out_of_range_opens_the_finder_with_what_was_read(theo, job):
    row = step(job, expect_unit="Ω", expect_low=57, expect_high=63, reading=120, state="done")
    text = theo.get(page(job), {"step": row.pk}).content.decode()
    assert "About 120 Ω" in text
    assert "terminator missing" in text.lower()
    work = theo.get(reverse("jobs:work", args=[job.pk])).content.decode()
    assert f"{page(job)}?step={row.pk}" in work


def test_a_steps_volts_are_read_at_its_unit(job):
    network = network_of_job(job)
    assert look_of_reading(network, unit="d1", unit_of_measure="V") == "volts:d1"
    assert look_of_reading(network, unit="", unit_of_measure="V") == ""
    assert look_of_reading(network, unit="", unit_of_measure="Ω") == "ohms:Main:T1"
    assert look_of_reading(network, unit="d1", unit_of_measure="A") == ""


def test_steps_of_other_jobs_and_other_shops_stay_theirs(theo, job, stranger, client_for):
    other = make_job(job.boat)
    row = step(other, expect_unit="Ω", reading=120, state="done")
    assert "Nothing yet" in theo.get(page(job), {"step": row.pk}).content.decode()
    assert client_for(stranger).get(page(job)).status_code == 404


def test_the_api_gives_answer_looks_and_the_table_for_a_tablet(
    theo, job, client, stranger, client_for
):
    address = reverse("api:job_faults", args=[job.pk])
    told = theo.get(address, {"seen": json.dumps({"light:sw1:2": "dark"})}).json()
    assert told["fits"] is True
    assert told["causes"][0]["words"]
    assert {row["look"] for row in told["looks"]} >= {"light:sw1:2", "seen:d2"}
    table = theo.get(address, {"table": "1"}).json()
    assert table == json.loads(json.dumps(table_of(network_of_job(job))))
    assert table["healthy"]["light:sw1:2"] == "up"
    assert theo.get(address, {"seen": "["}).status_code == 422
    assert theo.get(address, {"seen": '{"x": "y"}'}).json()["field"] == "seen.x"
    assert client.get(address).status_code == 403
    assert client_for(stranger).get(address).status_code == 404


def test_a_boat_without_any_network_has_a_page_too(theo, shop):
    job = make_job(BoatFactory(shop=shop))
    text = theo.get(page(job)).content.decode()
    assert "no network on record" in text
