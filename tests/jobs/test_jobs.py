"""Jobs at the desk: the list, the board, the page, its moves and its pick list."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Job, PickLine
from shopapp.jobs.services.picking import count_picked, reserve_short
from shopapp.jobs.services.scheduling import (
    cancel_job,
    hold_job,
    move_along,
    moves_for,
    schedule_job,
)
from shopapp.stock.models import StockItem
from tests.factories.accounts import UserFactory
from tests.factories.jobs import make_boat
from tests.jobs.work_world import Works


@pytest.fixture
def works(shop, writer, technician):
    return Works(shop, writer, technician)


def plain_job(shop, boat, number, **facts):
    return Job.objects.create(
        shop=shop, boat=boat, customer=boat.customer, number=number, title="A visit", **facts
    )


def fresh(job):
    return Job.objects.get(pk=job.pk)


# Scheduling and moves


def test_a_ready_job_goes_on_a_technicians_day(works, writer, technician):
    day = timezone.localdate() + timedelta(days=2)
    schedule_job(job=works.job, technician=technician, day=day, by=writer)
    job = fresh(works.job)
    assert (job.state, job.technician, job.planned_on) == ("scheduled", technician, day)
    assert str(technician) in job.moves.last().note


def test_a_scheduled_job_is_moved_to_another_day(works, writer, technician):
    day = timezone.localdate()
    schedule_job(job=works.job, technician=technician, day=day, by=writer)
    schedule_job(
        job=fresh(works.job), technician=technician, day=day + timedelta(days=3), by=writer
    )
    job = fresh(works.job)
    assert (job.state, job.planned_on) == ("scheduled", day + timedelta(days=3))


def test_somebody_who_does_not_work_on_boats_is_not_scheduled(works, writer):
    with pytest.raises(FactRefused) as refused:
        schedule_job(job=works.job, technician=writer, day=timezone.localdate(), by=writer)
    assert refused.value.field == "technician"


def test_a_technician_of_another_shop_is_not_scheduled(works, writer):
    other = UserFactory(role="technician")
    with pytest.raises(FactRefused):
        schedule_job(job=works.job, technician=other, day=timezone.localdate(), by=writer)


def test_holding_needs_a_reason(works, writer, technician):
    schedule_job(job=works.job, technician=technician, day=timezone.localdate(), by=writer)
    with pytest.raises(FactRefused):
        hold_job(job=fresh(works.job), reason=" ", by=writer)
    hold_job(job=fresh(works.job), reason="Lift", by=writer)
    assert fresh(works.job).held_reason == "Lift"


def test_cancelling_frees_what_was_reserved(works, manager):
    assert StockItem.objects.filter(reserved__gt=0).exists()
    cancel_job(job=works.job, reason="The boat is sold.", by=manager)
    assert not StockItem.objects.filter(reserved__gt=0).exists()
    assert fresh(works.job).pick_lists.get().state == "cancelled"


def test_only_a_chief_cancels(works, writer):
    with pytest.raises(MoveRefused):
        cancel_job(job=works.job, reason="Changed their mind.", by=writer)
    assert StockItem.objects.filter(reserved__gt=0).exists()


def test_the_moves_offered_are_those_of_the_role(works, writer, technician, manager):
    assert [after for after, _ in moves_for(job=works.job, user=technician)] == []
    assert [after for after, _ in moves_for(job=works.job, user=writer)] == [
        "waiting",
        "scheduled",
    ]
    assert "cancelled" in dict(moves_for(job=works.job, user=manager))


def test_a_move_that_asks_for_more_is_not_made_by_a_press(works, manager):
    for after in ("scheduled", "held", "cancelled", "done", "handed_over", "billed", "nonsense"):
        with pytest.raises(MoveRefused):
            move_along(job=works.job, after=after, by=manager)


def test_a_move_from_the_wrong_state_is_refused_with_words(works, client_for, manager):
    url = reverse("jobs:job_move", args=[works.job.pk, "billed"])
    page = client_for(manager).post(url)
    assert page.status_code == 409
    assert "cannot become" in page.content.decode()
    assert fresh(works.job).state == "ready"


# The pick list


def test_picked_pieces_are_counted_and_the_list_is_open_until_it_is_staged(works, parts_person):
    lines = list(works.job.pick_lists.get().lines.all())
    counts = {line.pk: line.reserved for line in lines}
    assert count_picked(job=works.job, counts=counts, by=parts_person).state == "open"
    assert set(works.job.pick_lists.get().lines.values_list("state", flat=True)) == {"picked"}
    one = lines[0]
    count_picked(job=works.job, counts={one.pk: 0}, by=parts_person)
    assert PickLine.objects.get(pk=one.pk).state == "reserved"


def test_more_than_reserved_cannot_be_picked(works, parts_person):
    line = works.job.pick_lists.get().lines.first()
    with pytest.raises(FactRefused) as refused:
        count_picked(job=works.job, counts={line.pk: line.reserved + 1}, by=parts_person)
    assert refused.value.field == f"line-{line.pk}"


def test_parts_that_came_in_are_reserved_and_the_job_is_ready(shop, writer, technician):
    works = Works(shop, writer, technician)
    second = works.open_job({"kind": "add", "models": ["display-r"], "location": "bow"})
    short = PickLine.objects.filter(pick_list__job=second).first()
    item = short.stock
    PickLine.objects.filter(pk=short.pk).update(stock=None, reserved=0, state="short")
    StockItem.objects.filter(pk=item.pk).update(
        reserved=item.reserved - short.reserved, on_hand=item.reserved - short.reserved
    )
    Job.objects.filter(pk=second.pk).update(state="waiting")
    second.refresh_from_db()
    assert reserve_short(job=second, by=writer) == 0
    assert fresh(second).state == "waiting"
    StockItem.objects.filter(pk=item.pk).update(on_hand=50)
    assert reserve_short(job=second, by=writer) == short.wanted
    assert fresh(second).state == "ready"


# Pages


def test_the_page_shows_agreement_money_drawing_ports_steps_and_parts(works, client_for, writer):
    text = client_for(writer).get(reverse("jobs:job", args=[works.job.pk])).content.decode()
    for words in ("What was agreed", "Money", "<svg", "Port map", "Pick list", "Papers", "Steps"):
        assert words in text


def test_a_technician_sees_no_money_on_the_page(works, client_for, technician):
    text = client_for(technician).get(reverse("jobs:job", args=[works.job.pk])).content.decode()
    assert "Total agreed" not in text
    assert "Steps" in text


def test_the_form_of_the_day_keeps_what_was_typed(works, client_for, writer, technician):
    url = reverse("jobs:job_schedule", args=[works.job.pk])
    page = client_for(writer).post(url, {"technician": technician.pk, "planned_on": "2026-13-40"})
    assert page.status_code == 422
    assert "2026-13-40" in page.content.decode()
    good = {"technician": technician.pk, "planned_on": timezone.localdate().isoformat()}
    assert client_for(writer).post(url, good).status_code == 302


@pytest.mark.parametrize(
    ("name", "role", "status"),
    [
        ("job_schedule", "technician", 403),
        ("job_schedule", "parts_person", 403),
        ("job_pick", "technician", 403),
        ("job_reserve", "technician", 403),
        ("job", "parts_person", 200),
        ("job", "stranger", 404),
        ("job_schedule", "stranger", 404),
        ("job_pick", "stranger", 404),
    ],
)
def test_pages_are_bound_to_role_and_shop(works, client_for, request, name, role, status):
    client = client_for(request.getfixturevalue(role))
    url = reverse(f"jobs:{name}", args=[works.job.pk])
    posts = name in {"job_pick", "job_reserve"}
    assert (client.post(url) if posts else client.get(url)).status_code == status


def test_too_many_picked_stands_beside_its_line(works, client_for, parts_person):
    line = works.job.pick_lists.get().lines.first()
    url = reverse("jobs:job_pick", args=[works.job.pk])
    page = client_for(parts_person).post(url, {f"line-{line.pk}": "99"})
    assert page.status_code == 422
    assert f"Only {line.reserved} are reserved." in page.content.decode()


def test_the_list_is_searched_and_filtered(shop, client_for, writer, technician):
    boat = make_boat(shop)
    plain_job(shop, boat, "J-2001", state="opened")
    plain_job(shop, boat, "J-2002", state="closed", technician=technician)
    client = client_for(writer)
    url = reverse("jobs:jobs")
    assert "J-2002" not in client.get(url, {"state": "open"}).content.decode()
    assert "J-2001" not in client.get(url, {"who": technician.pk}).content.decode()
    assert "J-2001" in client.get(url, {"q": "2001"}).content.decode()
    assert "No job found" in client.get(url, {"q": "zebra"}).content.decode()
    assert client.get(url, {"state": "odd", "who": "x", "page": "-1"}).status_code == 200


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_the_same_queries_at_any_length(
    shop, client_for, writer, count, django_assert_num_queries
):
    boat = make_boat(shop)
    for number in range(count):
        plain_job(shop, boat, f"J-{number}")
    client = client_for(writer)
    client.get(reverse("jobs:jobs"))
    with django_assert_num_queries(4):
        client.get(reverse("jobs:jobs"))


def test_the_page_of_a_job_takes_at_most_15_queries(
    works, client_for, writer, django_assert_max_num_queries
):
    client = client_for(writer)
    client.get(reverse("jobs:jobs"))
    with django_assert_max_num_queries(15):
        client.get(reverse("jobs:job", args=[works.job.pk]))


# The board


def test_ready_jobs_without_a_day_stand_beside_the_board(works, client_for, writer):
    text = client_for(writer).get(reverse("jobs:board")).content.decode()
    assert works.job.number in text


@pytest.mark.parametrize("week", ["2026-11-25", "nonsense", "0001-01-01"])
def test_any_week_may_be_asked_for(shop, client_for, writer, week):
    assert client_for(writer).get(reverse("jobs:board"), {"week": week}).status_code == 200


@pytest.mark.parametrize("count", [1, 3])
def test_the_board_takes_the_same_queries_at_any_length(
    shop, client_for, writer, technician, count, django_assert_num_queries
):
    boat = make_boat(shop)
    for number in range(count):
        plain_job(
            shop,
            boat,
            f"J-{number}",
            state="scheduled",
            technician=technician,
            planned_on=timezone.localdate(),
        )
    client = client_for(writer)
    client.get(reverse("jobs:board"))
    with django_assert_num_queries(5):
        client.get(reverse("jobs:board"))
