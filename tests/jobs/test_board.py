"""The week board: hours against capacity, the way, overlaps said, jobs moved by a press."""

from datetime import date, time, timedelta

import pytest
from django.urls import reverse

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat
from shopapp.jobs.board import day_notes, week_of, with_parts
from shopapp.jobs.models import Job, PickLine, PickList
from shopapp.stock.models import StockItem
from tests.factories.catalog import PartFactory
from tests.factories.jobs import make_boat

WEDNESDAY = date(2026, 12, 2)
SATURDAY = date(2026, 12, 5)


def planned(boat: Boat, technician: User, number: int, **facts: object) -> Job:
    return Job.objects.create(
        shop=boat.shop,
        boat=boat,
        customer=boat.customer,
        title="A job",
        number=f"J-{number}",
        **{
            "state": "scheduled",
            "technician": technician,
            "planned_on": WEDNESDAY,
            "minutes_planned": 180,
            **facts,
        },
    )


def square_of(shop: Shop, technician: User, day: date = WEDNESDAY):
    week = week_of(shop=shop, day=day, today=day, technicians=[technician])
    return next(square for square in week.rows[0].squares if square.day == day)


def test_a_day_adds_up_work_and_way_against_the_technicians_hours(
    shop: Shop, technician: User
) -> None:
    technician.day_minutes = 400
    for number in (1, 2):
        planned(make_boat(shop), technician, number)
    square = square_of(shop, technician)
    assert (square.minutes, square.travel, square.whole) == (360, 60, 420)
    assert (square.capacity, square.over) == (400, 20)


def test_two_boats_at_one_marina_are_one_trip(shop: Shop, technician: User) -> None:
    for number in (1, 2):
        boat = make_boat(shop)
        boat.marina = "North Basin"
        boat.save()
        planned(boat, technician, number)
    assert square_of(shop, technician).travel == shop.travel_minutes


def test_a_weekend_has_no_hours_and_work_on_it_is_said(shop: Shop, technician: User) -> None:
    planned(make_boat(shop), technician, 1, planned_on=SATURDAY)
    assert square_of(shop, technician, SATURDAY).day_off
    assert day_notes(technician=technician, day=SATURDAY) == ["This is no working day."]


def test_times_of_day_that_run_into_each_other_are_said(shop: Shop, technician: User) -> None:
    boat = make_boat(shop)
    planned(boat, technician, 1, planned_from=time(9))
    planned(boat, technician, 2, planned_from=time(11), minutes_planned=60)
    planned(boat, technician, 3, planned_from=time(12), minutes_planned=60)
    assert [(str(a), str(b), n) for a, b, n in square_of(shop, technician).overlaps] == [
        ("J-1", "J-2", 60)
    ]
    assert day_notes(technician=technician, day=WEDNESDAY) == ["J-1 and J-2 overlap by 1 h."]


def test_the_note_of_a_long_day_names_work_way_and_hours(shop: Shop, technician: User) -> None:
    planned(make_boat(shop), technician, 1, minutes_planned=500)
    assert day_notes(technician=technician, day=WEDNESDAY) == [
        "A long day: 8 h 20 min of work and 30 min on the way are 50 min over 8 h."
    ]


@pytest.mark.parametrize(
    ("reserved", "picked", "spare", "short"),
    [(0, 0, False, True), (2, 0, False, False), (0, 2, False, False), (0, 0, True, False)],
)
def test_the_parts_flag(
    shop: Shop, technician: User, reserved: int, picked: int, spare: bool, short: bool
) -> None:
    job = planned(make_boat(shop), technician, 1)
    pick_list = PickList.objects.create(job=job)
    part = PartFactory(shop=shop)
    shelf = StockItem.objects.create(shop=shop, part=part, place="Shelf 1", on_hand=2)
    state = "picked" if picked else "reserved" if reserved else "short"
    PickLine.objects.create(
        pick_list=pick_list,
        position=1,
        part=part,
        stock=shelf if reserved or picked else None,
        state=state,
        wanted=2,
        reserved=reserved,
        picked=picked,
        spare=spare,
    )
    assert with_parts(Job.objects.all()).get().parts_short is short


def test_a_job_is_picked_up_and_put_down_by_presses(
    shop: Shop, technician: User, writer: User, client_for: object
) -> None:
    job = planned(make_boat(shop), technician, 1)
    client = client_for(writer)
    url = reverse("jobs:board")
    assert "Put here" not in client.get(url, {"week": "2026-12-02"}).text
    page = client.get(url, {"week": "2026-12-02", "move": job.pk})
    assert page.text.count("button put") == 7
    put = {"technician": technician.pk, "planned_on": "2026-12-04", "version": job.version}
    page = client.post(reverse("jobs:board_put", args=[job.pk]), put, follow=True)
    assert f"J-1 is {technician}&#x27;s on 4 Dec 2026." in page.text
    job.refresh_from_db()
    assert job.planned_on == date(2026, 12, 4)


def test_two_who_move_the_same_job_one_wins(
    shop: Shop, technician: User, writer: User, client_for: object
) -> None:
    job = planned(make_boat(shop), technician, 1)
    client, url = client_for(writer), reverse("jobs:board_put", args=[job.pk])
    put = {"technician": technician.pk, "planned_on": "2026-12-04", "version": job.version}
    assert client.post(url, put).status_code == 302
    late = client.post(url, {**put, "planned_on": "2026-12-03"})
    assert late.status_code == 409
    assert "Somebody else changed J-1" in late.text
    job.refresh_from_db()
    assert job.planned_on == date(2026, 12, 4)


def test_a_long_day_is_said_after_the_move_and_not_forbidden(
    shop: Shop, technician: User, writer: User, client_for: object
) -> None:
    job = planned(make_boat(shop), technician, 1, minutes_planned=900)
    put = {"technician": technician.pk, "planned_on": "2026-12-03", "version": job.version}
    url = reverse("jobs:board_put", args=[job.pk])
    assert "A long day" in client_for(writer).post(url, put, follow=True).text


def test_a_technician_moves_nothing_and_a_stranger_finds_nothing(
    shop: Shop, technician: User, stranger: User, client_for: object
) -> None:
    job = planned(make_boat(shop), technician, 1)
    url = reverse("jobs:board_put", args=[job.pk])
    assert client_for(technician).post(url).status_code == 403
    assert client_for(stranger).post(url).status_code == 404
    page = client_for(technician).get(reverse("jobs:board"), {"move": job.pk})
    assert "Put here" not in page.text


def test_a_square_that_is_gone_moves_nothing(
    shop: Shop, technician: User, writer: User, client_for: object
) -> None:
    job = planned(make_boat(shop), technician, 1)
    put = {"technician": 999_999, "planned_on": "2026-12-04", "version": job.version}
    page = client_for(writer).post(reverse("jobs:board_put", args=[job.pk]), put, follow=True)
    assert "nothing was moved" in page.text
    job.refresh_from_db()
    assert job.planned_on == WEDNESDAY


def test_a_time_of_day_stands_on_the_slip(
    shop: Shop, technician: User, writer: User, client_for: object
) -> None:
    planned(make_boat(shop), technician, 1, planned_from=time(8, 30))
    page = client_for(writer).get(reverse("jobs:board"), {"week": "2026-12-02"})
    assert "08:30, 3 h" in page.text


def test_the_week_before_keeps_the_job_in_hand(
    shop: Shop, technician: User, writer: User, client_for: object
) -> None:
    job = planned(make_boat(shop), technician, 1)
    page = client_for(writer).get(reverse("jobs:board"), {"week": "2026-12-02", "move": job.pk})
    monday = WEDNESDAY - timedelta(days=WEDNESDAY.weekday() + 7)
    assert f"?week={monday.isoformat()}&amp;move={job.pk}" in page.text
