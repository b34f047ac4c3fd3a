"""Closing a job writes what was done to the boat's record, and nothing else."""

import pytest

from shopapp.boats.models import Cable, Evidence, Unit
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Job, PickList
from shopapp.jobs.services.closing import close_job, usage_of
from shopapp.jobs.services.scheduling import start_job
from shopapp.stock.models import StockItem
from tests.jobs.work_world import Works
from tests.planner.worlds import add


@pytest.fixture
def works(shop, writer, technician):
    works = Works(shop, writer, technician)
    works.start()
    return works


def close(works, **more):
    closing = close_job(job=works.job, by=works.technician, **more)
    works.job.refresh_from_db()
    return closing


def test_a_job_with_open_steps_is_not_closed_and_names_them(works):
    with pytest.raises(MoveRefused) as refused:
        close(works)
    assert "not answered" in refused.value.message
    assert works.steps()[0].title in refused.value.message
    works.job.refresh_from_db()
    assert works.job.state == "on_job"


def test_only_the_technician_of_the_job_or_a_chief_closes_it(works, writer, manager):
    works.do_all()
    with pytest.raises(MoveRefused):
        close_job(job=works.job, by=writer)
    assert close_job(job=works.job, by=manager).job.state == "done"


def test_a_finished_job_is_on_the_boats_record_with_model_serial_release_and_place(works):
    works.do_all()
    close(works)
    assert works.job.state == "done"
    assert works.job.done_at is not None
    fresh = works.world.boat.units.get(fitted_under=works.job.number, model__kind="display")
    assert fresh.name not in {"d1", "d2"}
    assert fresh.serial == f"SN-{fresh.name}"
    assert fresh.release.name == "3.1"
    assert fresh.location.name == "bow"
    assert fresh.networked is True
    assert fresh.fuse_ma == 3000
    assert fresh.fitted_on is not None


def test_a_finished_job_adds_its_switch_and_cables_with_their_ports(works):
    works.do_all()
    close(works)
    boat = works.world.boat
    switch = boat.units.get(model__kind="switch")
    ports = {
        frozenset((end.unit.name, end.port) for end in cable.ends.select_related("unit"))
        for cable in Cable.objects.filter(boat=boat, retired_at=None)
        if cable.ends.filter(unit__isnull=False).count() == 2
    }
    planned = {
        frozenset(zip(link["between"], link["ports"], strict=True)) for link in works.job.ports
    }
    assert switch.name == "sw1"
    assert ports == planned
    labels = list(Cable.objects.filter(boat=boat).values_list("label", flat=True))
    assert len(set(labels)) == len(labels)


def test_the_release_found_at_an_update_is_the_one_on_record(works):
    works.do_all()
    close(works)
    updated = {step.unit_key: step.found for step in works.steps("update")}
    units = {unit.name: unit for unit in works.world.boat.units.aboard()}
    assert {name: units[name].release.name for name in updated} == updated


def test_every_value_written_says_who_when_and_under_which_job(works, technician):
    works.do_all()
    closing = close(works)
    assert closing.written
    assert {row.by for row in closing.written} == {technician}
    assert {row.job_number for row in closing.written} == {works.job.number}
    fit = works.steps("fit")[0]
    row = Evidence.objects.get(unit__name=fit.unit_key, fact="serial")
    assert (row.how, row.seen_at, row.value) == ("seen", fit.done_at, fit.found)


def test_the_boat_as_built_needs_nothing_more(works):
    works.do_all()
    close(works)
    again = works.plan_again()
    assert again["feasible"] is True
    assert again["strategies"]["cheapest"]["total_cents"] == 0
    assert again["strategies"]["cheapest"]["changes"] == 0


def test_closing_twice_changes_nothing(works):
    works.do_all()
    close(works)
    before = _record(works)
    close(works)
    assert _record(works) == before


def test_closing_again_after_more_work_writes_no_unit_twice(works, technician):
    works.do_all()
    close(works)
    before = _record(works)
    start_job(job=works.job, by=technician)
    works.job.refresh_from_db()
    close(works)
    after = _record(works)
    assert {key: after[key] for key in ("units", "cables", "stock")} == {
        key: before[key] for key in ("units", "cables", "stock")
    }


def _record(works):
    boat = works.world.boat
    return {
        "units": list(boat.units.order_by("pk").values_list("pk", "name", "state", "serial")),
        "cables": list(
            boat.cables.order_by("pk", "ends__side").values_list(
                "pk", "label", "ends__unit__name", "ends__port"
            )
        ),
        "stock": list(StockItem.objects.order_by("pk").values_list("pk", "on_hand", "reserved")),
        "evidence": boat.evidence.count(),
        "job": Job.objects.values_list("state", "version", "done_at").get(pk=works.job.pk),
    }


def test_what_could_not_be_done_stays_as_it_was(works):
    works.do_all(but=("fit", "cable", "fuse"))
    before = list(works.world.boat.units.values_list("name", "networked"))
    closing = close(works)
    assert list(works.world.boat.units.values_list("name", "networked")) == before
    assert {step.kind for step in closing.left} == {"fit", "cable", "fuse"}
    assert not works.world.boat.units.filter(fitted_under=works.job.number).exists()


def test_an_update_that_could_not_be_done_leaves_the_old_release(works):
    updated = {step.unit_key for step in works.steps("update")}
    before = dict(works.world.boat.units.values_list("name", "release__name"))
    works.do_all(but=("update",))
    close(works)
    after = dict(works.world.boat.units.values_list("name", "release__name"))
    assert updated
    assert {name: after[name] for name in updated} == {name: before[name] for name in updated}


def test_parts_used_leave_the_shelf_and_spares_go_back(works):
    lines = list(works.job.pick_lists.get().lines.select_related("stock"))
    on_hand = {line.stock_id: line.stock.on_hand for line in lines}
    used = {}
    for line in lines:
        used[line.stock_id] = used.get(line.stock_id, 0) + (0 if line.spare else line.reserved)
    works.do_all()
    close(works)
    assert works.job.pick_lists.get().state == PickList.State.ISSUED
    for item in StockItem.objects.filter(pk__in=on_hand):
        assert (item.on_hand, item.reserved) == (on_hand[item.pk] - used[item.pk], 0)


def test_a_unit_not_fitted_goes_back_to_the_shelf(works):
    works.do_all(but=("fit",))
    equipment = [used for line, used in usage_of(works.job) if line.part.kind == "equipment"]
    assert equipment
    assert set(equipment) == {0}


def test_more_used_than_reserved_is_refused_and_nothing_is_written(works):
    works.do_all()
    line = works.job.pick_lists.get().lines.first()
    with pytest.raises(FactRefused) as refused:
        close(works, used={line.pk: line.reserved + 1})
    assert refused.value.field == f"line-{line.pk}"
    works.job.refresh_from_db()
    assert works.job.state == "on_job"
    assert not works.world.boat.units.filter(fitted_under=works.job.number).exists()


def test_a_replaced_unit_leaves_and_the_new_one_takes_its_name(shop, writer, technician):
    wish = {"kind": "replace", "device": "d1", "models": ["display-r"]}
    works = Works(shop, writer, technician, wish)
    works.start()
    works.do_all()
    close(works)
    boat = works.world.boat
    old = boat.units.get(model__code="display-q")
    assert old.state == Unit.State.REMOVED
    fresh = boat.units.get(name="d1", state="fitted")
    assert (fresh.model.code, fresh.fitted_under) == ("display-r", works.job.number)
    assert fresh.fuse_ma == 3000
    assert works.plan_again()["strategies"]["cheapest"]["total_cents"] == 0


def test_a_removed_unit_leaves_its_cable_lying_unplugged(shop, writer, technician):
    works = Works(shop, writer, technician, {"kind": "remove", "device": "d2"})
    works.start()
    works.do_all()
    close(works)
    assert works.world.boat.units.get(name="d2").state == Unit.State.REMOVED
    ends = works.world.boat.cables.get(label="in-1").ends.all()
    assert {(end.unit_id, end.port, end.location.name) for end in ends} == {(None, None, "console")}


def test_a_unit_off_the_network_is_on_it_after_its_cable(shop, writer, technician):
    works = Works(shop, writer, technician, add(at="console"))
    works.start()
    works.do_all()
    close(works)
    assert set(works.world.boat.units.aboard().values_list("networked", flat=True)) == {True}


def test_a_cable_that_stays_in_its_ports_stays_on_record(shop, writer, technician):
    works = Works(shop, writer, technician, add(networked=False))
    before = list(works.world.boat.cables.values_list("label", "ends__unit__name", "ends__port"))
    assert works.steps("cable") == []
    works.start()
    works.do_all()
    close(works)
    after = list(works.world.boat.cables.values_list("label", "ends__unit__name", "ends__port"))
    assert after == before
    fresh = works.world.boat.units.get(fitted_under=works.job.number)
    assert fresh.networked is False


def test_a_unit_whose_cable_was_in_its_port_already_is_on_the_network(shop, writer, technician):
    works = Works(shop, writer, technician)
    works.world.boat.units.filter(name="d1").update(networked=False)
    works.job = works.open_job({"kind": "network", "device": "d1"})
    assert works.steps("cable") == []
    works.start()
    works.do_all()
    close(works)
    assert works.world.boat.units.get(name="d1").networked is True
