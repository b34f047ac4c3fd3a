"""The first page says what waits for the person at the screen."""

import pytest
from django.urls import reverse
from django.utils import timezone

from shopapp.jobs.models import Enquiry, Job
from tests.factories.jobs import make_boat

ROLES = ["writer", "technician", "manager", "parts_person", "owner"]


def job_of(shop, boat, number, **facts):
    return Job.objects.create(
        shop=shop, boat=boat, customer=boat.customer, number=number, title="Visit", **facts
    )


@pytest.mark.parametrize("role", ROLES)
def test_every_role_is_greeted_with_three_things_to_try(client_for, request, role):
    user = request.getfixturevalue(role)
    page = client_for(user).get(reverse("home"))
    text = page.content.decode()
    assert page.status_code == 200
    assert user.full_name.split()[0] in text
    assert text.count('class="who"') == 3


def test_without_sign_in_the_first_page_asks_for_it(client, db):
    assert client.get(reverse("home")).status_code == 302


def test_a_technician_sees_todays_own_jobs(shop, technician, client_for):
    boat = make_boat(shop)
    day = timezone.localdate()
    job_of(shop, boat, "J-1", state="scheduled", technician=technician, planned_on=day)
    job_of(shop, boat, "J-2", state="ready")
    text = client_for(technician).get(reverse("home")).content.decode()
    assert "J-1 Second Tern" in text
    assert "J-2" not in text


def test_a_writer_sees_new_enquiries(shop, writer, client_for):
    boat = make_boat(shop)
    Enquiry.objects.create(
        shop=shop, number="E-7", customer=boat.customer, words="Chart at the bow, please."
    )
    assert "Chart at the bow" in client_for(writer).get(reverse("home")).content.decode()


def test_a_manager_sees_held_jobs_with_their_reason(shop, manager, client_for):
    job_of(shop, make_boat(shop), "J-9", state="held", held_reason="Waiting for the lift")
    assert "Waiting for the lift" in client_for(manager).get(reverse("home")).content.decode()


def test_another_shops_jobs_do_not_wait_here(shop, stranger, client_for):
    job_of(shop, make_boat(shop), "J-9", state="held", held_reason="Waiting for the lift")
    assert "Waiting for the lift" not in client_for(stranger).get(reverse("home")).content.decode()


@pytest.mark.parametrize("role", ROLES)
def test_the_first_page_takes_at_most_15_queries(
    shop, client_for, request, role, django_assert_max_num_queries
):
    boat = make_boat(shop)
    for number in range(3):
        job_of(shop, boat, f"J-{number}", state="held", held_reason="Tide")
    client = client_for(request.getfixturevalue(role))
    client.get(reverse("home"))
    with django_assert_max_num_queries(15):
        client.get(reverse("home"))
