"""From picked to staged, issued, used, returned or scrapped; what is split off stays pickable."""

import pytest

from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Document, Job
from shopapp.jobs.services.leftovers import bring_back, leftovers_of
from shopapp.jobs.services.picking import count_picked, reserve_short
from shopapp.jobs.services.scheduling import cancel_job
from shopapp.jobs.services.staging import issue_list, stage_list, unstage_list
from shopapp.jobs.totes import ALWAYS_IN_THE_TOTE
from shopapp.stock.models import Movement, StockItem
from shopapp.stock.services import book
from tests.jobs.store_world import Store, explained, lines_of, states_of

ALL = list(ALWAYS_IN_THE_TOTE)


@pytest.fixture
def store(shop, parts_person) -> Store:
    return Store(shop, parts_person)


def pick_all(store, job):
    count_picked(job=job, counts={one.pk: one.reserved for one in lines_of(job)}, by=store.by)


def stage(store, job, **facts):
    return stage_list(job=job, by=store.by, **{"totes": 2, "extras": ALL, **facts})


def test_a_whole_list_is_staged_and_asks_for_its_label(store):
    store.shelf(store.lead, 5)
    job = store.job((store.lead, 2))
    pick_all(store, job)

    assert stage(store, job).state == "staged"

    assert states_of(job) == ["staged"]
    assert Document.objects.get().kind == "tote_label"
    job.refresh_from_db()
    assert job.state == "ready"


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"totes": 0}, "totes"),
        ({"totes": 99}, "totes"),
        ({"extras": ["caps"]}, "extras_why"),
    ],
)
def test_what_is_missing_is_asked_for(store, facts, field):
    store.shelf(store.lead, 5)
    job = store.job((store.lead, 2))
    pick_all(store, job)
    with pytest.raises(FactRefused) as refused:
        stage(store, job, **facts)
    assert refused.value.field == field
    assert states_of(job) == ["picked"]


def test_a_list_that_is_not_whole_goes_only_with_a_reason(store):
    store.shelf(store.lead, 5)
    job = store.job((store.lead, 2), (store.cable, 1))
    pick_all(store, job)
    with pytest.raises(FactRefused, match="1 × CA-10") as refused:
        stage(store, job)
    assert refused.value.field == "split_reason"
    stage(store, job, split_reason="Second visit agreed with the owner.")
    assert states_of(job) == ["staged", "short"]


def test_a_line_picked_in_part_is_split_by_the_second_visit(store):
    store.shelf(store.lead, 5)
    job = store.job((store.lead, 3))
    line = lines_of(job)[0]
    count_picked(job=job, counts={line.pk: 1}, by=store.by)
    stage(store, job, split_reason="Two follow.")
    assert [(one.wanted, one.state) for one in lines_of(job)] == [(1, "staged"), (2, "reserved")]

    issue_list(job=job, to="Theo Marsh", by=store.by)

    pick_list = job.pick_lists.get()
    assert pick_list.state == "open"
    pick_all(store, job)
    stage(store, job)
    issue_list(job=job, to="Theo Marsh", by=store.by)
    assert job.pick_lists.get().state == "issued"
    assert StockItem.objects.get().on_hand == 2
    assert explained(store.shop)


def test_what_is_issued_has_left_the_shelf(store):
    item = store.shelf(store.lead, 5)
    job = store.job((store.lead, 2))
    pick_all(store, job)
    with pytest.raises(MoveRefused, match="not staged"):
        issue_list(job=job, to="Theo", by=store.by)
    stage(store, job)
    issue_list(job=job, to="Theo", by=store.by)
    item.refresh_from_db()
    assert (item.on_hand, item.reserved, item.picked) == (3, 0, 0)
    assert states_of(job) == ["issued"]


def test_a_staged_list_is_opened_again(store):
    store.shelf(store.lead, 5)
    job = store.job((store.lead, 1))
    pick_all(store, job)
    stage(store, job)
    assert unstage_list(job=job, by=store.by).state == "open"
    assert states_of(job) == ["picked"]


# Leftovers


def issued(store, count=3):
    store.shelf(store.lead, 5)
    job = store.job((store.lead, count))
    pick_all(store, job)
    stage(store, job)
    issue_list(job=job, to="Theo", by=store.by)
    return job, lines_of(job)[0]


def test_leftovers_go_to_shelf_van_and_scrap(store):
    job, line = issued(store)
    bring_back(line=line, count=1, way="shelf", by=store.by)
    bring_back(line=line, count=1, way="van", place="Van 1", by=store.by)
    assert states_of(job) == ["issued"]
    bring_back(line=line, count=1, way="scrap", reason="Bent pins.", by=store.by)
    assert states_of(job) == ["returned"]
    assert dict(StockItem.objects.values_list("place", "on_hand")) == {"A1": 3, "Van 1": 1}
    assert Movement.objects.filter(kind="scrap").get().reason == "Bent pins."
    assert explained(store.shop)


@pytest.mark.parametrize(
    ("facts", "field"),
    [
        ({"count": 4, "way": "shelf"}, "count"),
        ({"count": 0, "way": "shelf"}, "count"),
        ({"count": 10**9, "way": "shelf"}, "count"),
        ({"count": 1, "way": "sea"}, "way"),
        ({"count": 1, "way": "scrap"}, "reason"),
        ({"count": 1, "way": "van"}, "place"),
    ],
)
def test_what_cannot_come_back_is_refused(store, facts, field):
    _, line = issued(store)
    with pytest.raises(FactRefused) as refused:
        bring_back(line=line, by=store.by, **facts)
    assert refused.value.field == field
    assert StockItem.objects.get().on_hand == 2


def test_only_lists_whose_use_is_written_down_have_leftovers(store, shop):
    job, _ = issued(store)
    assert not leftovers_of(shop).exists()
    job.pick_lists.update(settled_at="2026-11-01T10:00:00Z")
    assert leftovers_of(shop).get().out == 3


def test_a_cancelled_job_gives_all_back_but_what_is_out(store, manager):
    item = store.shelf(store.lead, 5)
    job = store.job((store.lead, 2), (store.cable, 1))
    pick_all(store, job)
    cancel_job(job=job, reason="Sold the boat.", by=manager)
    item.refresh_from_db()
    assert (item.on_hand, item.reserved, item.picked) == (5, 0, 0)
    assert set(states_of(job)) == {"wanted"}
    assert explained(store.shop)


def test_what_came_in_is_reserved_and_the_job_is_ready(store):
    job = store.job((store.lead, 2))
    item = store.shelf(store.lead, 0)
    book(item, "receive", on_hand=2)
    assert reserve_short(job=job, by=store.by) == 2
    job.refresh_from_db()
    assert job.state == Job.State.READY
