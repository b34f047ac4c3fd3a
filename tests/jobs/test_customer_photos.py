"""A customer shows by a photo what was assumed; the desk looks, and it becomes evidence."""

import io
from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from shopapp.boats.models import Evidence, Photo
from shopapp.boats.services.evidence import record_fact
from shopapp.errors import FactRefused, MoveRefused, UploadRefused
from shopapp.jobs.models import Assumption, CustomerPhoto, Letter, Quote
from shopapp.jobs.services.customer_photos import MOST_A_QUOTE, send_photo, settle_photo
from tests.jobs.papers_world import sent_quote
from tests.jobs.work_world import Works


@pytest.fixture(autouse=True)
def media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def quote(writer) -> Quote:
    made = sent_quote(writer)
    made.shop.email = "desk@example.com"
    made.shop.save()
    return made


def picture(size: tuple[int, int] = (40, 30), kind: str = "JPEG") -> SimpleUploadedFile:
    """A real picture; of 54 million dots of one colour it is a bomb of a small file."""
    file = io.BytesIO()
    Image.new("RGB", size, "teal").save(file, kind)
    return SimpleUploadedFile("page.jpg", file.getvalue(), content_type="image/jpeg")


def said(quote: Quote, **changes: object) -> dict:
    return {
        "quote": quote,
        "number": 1,
        "name": "Odile Farrow",
        "upload": picture(),
        "taken_on": timezone.localdate() - timedelta(days=2),
        "text": "The system page",
        "once": uuid4(),
        **changes,
    }


def fresh(row):
    return type(row).objects.get(pk=row.pk)


# Sent


def test_a_photo_waits_for_the_desk_and_the_shop_is_told(quote):
    row = send_photo(**said(quote))
    assert (row.verdict, row.assumption.number) == ("open", 1)
    assert quote.assumptions.get(number=1).state == "open"
    letter = Letter.objects.get()
    assert letter.to == "desk@example.com"
    assert "Odile Farrow sent a photo for A1" in letter.body
    assert not Photo.objects.exists()


def test_a_second_press_is_the_same_photo(quote):
    once = uuid4()
    first, second = send_photo(**said(quote, once=once)), send_photo(**said(quote, once=once))
    assert first == second
    assert CustomerPhoto.objects.count() == 1


@pytest.mark.parametrize(
    ("change", "fault", "field"),
    [
        ({"upload": SimpleUploadedFile("x.jpg", b"no picture")}, UploadRefused, "image"),
        ({"upload": picture(size=(9000, 6000), kind="PNG")}, UploadRefused, "image"),
        ({"name": "  "}, FactRefused, "name"),
        ({"taken_on": timezone.localdate() + timedelta(days=2)}, FactRefused, "taken_on"),
    ],
)
def test_what_cannot_be_right_is_refused_beside_its_field(quote, change, fault, field):
    with pytest.raises(fault) as refused:
        send_photo(**said(quote, **change))
    assert refused.value.field == field
    assert not CustomerPhoto.objects.exists()


def test_a_settled_or_unknown_assumption_takes_no_photo(quote):
    quote.assumptions.filter(number=1).update(state="confirmed")
    with pytest.raises(MoveRefused, match="A1 is settled already"):
        send_photo(**said(quote))
    with pytest.raises(MoveRefused, match="no such assumption"):
        send_photo(**said(quote, number=77))


def test_a_quote_that_is_not_open_takes_no_photo(quote):
    Quote.objects.filter(pk=quote.pk).update(state="replaced")
    with pytest.raises(MoveRefused):
        send_photo(**said(quote))


def test_a_stranger_with_the_link_cannot_fill_the_disk(quote):
    row = send_photo(**said(quote))
    CustomerPhoto.objects.bulk_create(
        CustomerPhoto(
            assumption=row.assumption, digest="x", name="N", taken_on=row.taken_on, once=uuid4()
        )
        for _ in range(MOST_A_QUOTE - 1)
    )
    with pytest.raises(MoveRefused, match="Many photos"):
        send_photo(**said(quote))


# Looked at


def test_what_shows_it_confirms_the_assumption_and_lies_with_the_boat(quote, writer):
    row = settle_photo(photo=send_photo(**said(quote)), verdict="shows", by=writer)
    assumption = Assumption.objects.get(quote=quote, number=1)
    assert (assumption.state, assumption.settled_by) == ("confirmed", writer)
    photo = Photo.objects.get()
    assert row.kept == photo
    assert photo.boat == quote.boat
    assert photo.caption == f"A1 of {quote}, from Odile Farrow: The system page"
    assert photo.taken_at.date() == row.taken_on


def test_what_shows_otherwise_makes_it_wrong_and_is_no_evidence(quote, writer):
    settle_photo(photo=send_photo(**said(quote)), verdict="other", by=writer)
    assert quote.assumptions.get(number=1).state == "wrong"
    assert Photo.objects.count() == 1
    assert not Evidence.objects.filter(how="photo").exists()


def test_what_shows_nothing_leaves_all_as_it_was(quote, writer):
    settle_photo(photo=send_photo(**said(quote)), verdict="useless", by=writer)
    assert quote.assumptions.get(number=1).state == "open"
    assert not Photo.objects.exists()


def test_two_who_look_at_one_photo_settle_it_once(quote, writer, manager):
    row = send_photo(**said(quote))
    settle_photo(photo=row, verdict="useless", by=writer)
    with pytest.raises(MoveRefused, match=f"{writer} looked at it already"):
        settle_photo(photo=row, verdict="shows", by=manager)
    assert fresh(row).verdict == "useless"


def test_the_desk_has_to_say_what_it_shows(quote, writer):
    row = send_photo(**said(quote))
    for word in ("open", "perhaps", ""):
        with pytest.raises(FactRefused):
            settle_photo(photo=row, verdict=word, by=writer)
    assert fresh(row).verdict == "open"


def test_what_the_customer_said_is_known_by_photo_from_then_on(shop, writer, technician):
    works = Works(shop, writer, technician)
    quote, unit = works.job.quote, works.world.units["d1"]
    Evidence.objects.filter(unit=unit, fact="release").delete()
    month_ago = timezone.now() - timedelta(days=30)
    record_fact(boat=works.world.boat, subject=unit, fact="release", value=unit.release,
                how="customer", by=writer, seen_at=month_ago)  # fmt: skip
    entry = {"key": "release:d1", "units": ["d1"], "text": "d1 is on release 2.0."}
    quote.run.assumptions = [entry]
    quote.run.save()
    Assumption.objects.create(quote=quote, number=1, key="release:d1", text=entry["text"])

    settle_photo(photo=send_photo(**said(quote)), verdict="shows", by=writer)

    holds = Evidence.objects.get(unit=unit, fact="release", standing="holds")
    assert (holds.how, holds.value) == ("photo", "2.0")
    assert holds.photo == Photo.objects.get()
    assert holds.seen_at.date() == CustomerPhoto.objects.get().taken_on


# The pages


def test_the_customer_sends_it_from_the_page(client, quote, django_assert_max_num_queries):
    url = reverse("jobs:customer_quote", args=[quote.token])
    page = client.get(url).text
    assert page.count("Send the photo") == quote.assumptions.count()
    facts = said(quote)
    sent = {name: facts[name] for name in ("number", "name", "taken_on", "text", "once")}
    answer = client.post(
        reverse("jobs:customer_photo", args=[quote.token]), {**sent, "image": facts["upload"]}
    )
    assert answer.headers["Location"] == f"{url}#a1"
    with django_assert_max_num_queries(15):
        assert "with us, we look at it" in client.get(url).text


def test_what_is_no_picture_is_said_on_the_page_and_the_rest_is_kept(client, quote):
    facts = said(quote, upload=SimpleUploadedFile("x.jpg", b"no picture"))
    sent = {name: facts[name] for name in ("number", "name", "taken_on", "text", "once")}
    answer = client.post(
        reverse("jobs:customer_photo", args=[quote.token]), {**sent, "image": facts["upload"]}
    )
    assert answer.status_code == 422
    assert "no JPEG or PNG picture" in answer.text
    assert 'value="The system page"' in answer.text


def test_the_desk_sees_it_beside_its_assumption_and_on_the_first_page(client_for, quote, writer):
    row = send_photo(**said(quote))
    desk = client_for(writer)
    assert "Photo from Odile Farrow for A1" in desk.get("/").text
    page = desk.get(reverse("jobs:quote", args=[quote.pk])).text
    assert reverse("jobs:photo_of_customer", args=[row.pk]) in page
    assert "It shows that it is so" in page
    desk.post(reverse("jobs:photo_settle", args=[row.pk]), {"verdict": "shows"})
    assert fresh(row).verdict == "shows"
    assert "Photo from Odile Farrow" not in desk.get("/").text


def test_the_picture_opens_for_the_shop(client_for, quote, writer):
    row = send_photo(**said(quote))
    answer = client_for(writer).get(reverse("jobs:photo_of_customer", args=[row.pk]))
    assert answer["Content-Type"] == "image/jpeg"
    assert b"".join(answer.streaming_content)[:2] == b"\xff\xd8"


@pytest.mark.parametrize(
    ("name", "role", "status"),
    [
        ("photo_of_customer", "technician", 403),
        ("photo_of_customer", "stranger", 404),
        ("photo_settle", "technician", 403),
        ("photo_settle", "parts_person", 403),
        ("photo_settle", "stranger", 404),
    ],
)
def test_photos_are_bound_to_role_and_shop(quote, client_for, request, name, role, status):
    row = send_photo(**said(quote))
    client = client_for(request.getfixturevalue(role))
    url = reverse(f"jobs:{name}", args=[row.pk])
    answer = client.post(url) if name == "photo_settle" else client.get(url)
    assert answer.status_code == status
