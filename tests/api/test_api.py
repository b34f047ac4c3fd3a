"""The JSON views: bound to shop and role, bounded in rows and queries."""

import pytest
from django.urls import reverse

from shopapp.jobs.models import Document, Job
from tests.factories.jobs import make_boat, make_quote
from tests.jobs.work_world import Works


def test_boats_are_listed_by_pages_and_words(shop, writer, client_for):
    for number in range(3):
        boat = make_boat(shop)
        boat.name, boat.search = f"Tern {number}", f"tern {number}"
        boat.save()
    client = client_for(writer)
    page = client.get(reverse("api:boats"), {"limit": 2}).json()
    assert [row["name"] for row in page["results"]] == ["Tern 0", "Tern 1"]
    assert page["next"]
    found = client.get(reverse("api:boats"), {"search": "tern 2"}).json()
    assert [row["name"] for row in found["results"]] == ["Tern 2"]
    assert found["next"] is None


def test_a_page_never_holds_more_than_200_rows(shop, writer, client_for):
    page = client_for(writer).get(reverse("api:boats"), {"limit": 10**6, "offset": "x"})
    assert page.status_code == 200
    late = client_for(writer).get(reverse("api:boats"), {"offset": 10**12})
    assert late.status_code == 404


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_the_same_queries_at_any_length(
    shop, writer, client_for, count, django_assert_num_queries
):
    for _ in range(count):
        make_boat(shop)
    client = client_for(writer)
    client.get(reverse("api:boats"))
    with django_assert_num_queries(3):
        client.get(reverse("api:boats"))


def test_a_boat_tells_its_units_and_cables(shop, writer, technician, client_for):
    works = Works(shop, writer, technician)
    boat = client_for(technician).get(reverse("api:boat", args=[works.world.boat.pk])).json()
    assert [unit["name"] for unit in boat["units"]] == ["d1", "d2"]
    assert boat["units"][0]["release"] == "2.0"
    assert {end["unit"] for end in boat["cables"][0]["ends"]} == {"d1", "d2"}


def test_a_job_tells_its_steps_and_no_money(shop, writer, technician, client_for):
    works = Works(shop, writer, technician)
    job = client_for(technician).get(reverse("api:job", args=[works.job.pk])).json()
    assert job["number"] == works.job.number
    assert len(job["steps"]) == works.job.steps.count()
    assert not [key for key in job if "cents" in key]


def test_a_quotes_paper_is_hidden_from_the_technician(shop, writer, technician, client_for):
    paper = Document.objects.create(shop=shop, kind="quote", quote=make_quote(writer))
    url = reverse("api:document", args=[paper.pk])
    assert client_for(writer).get(url).json()["row_state"] == "requested"
    assert client_for(technician).get(url).status_code == 404


def test_another_shop_finds_nothing(shop, stranger, client_for):
    boat = make_boat(shop)
    job = Job.objects.create(
        shop=shop, boat=boat, customer=boat.customer, number="J-1", title="Visit"
    )
    paper = Document.objects.create(shop=shop, kind="work_order", job=job)
    client = client_for(stranger)
    for name, row in [("boat", boat), ("job", job), ("document", paper)]:
        assert client.get(reverse(f"api:{name}", args=[row.pk])).status_code == 404
    assert client.get(reverse("api:boats")).json()["results"] == []


def test_without_sign_in_nothing_is_told(client, db):
    assert client.get(reverse("api:boats")).status_code == 403


def test_nothing_is_written_through_it(shop, writer, client_for):
    assert client_for(writer).post(reverse("api:boats"), {}).status_code in {403, 405}
