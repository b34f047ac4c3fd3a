"""Photos: only real pictures are kept, anew and once."""

import io
from collections.abc import Callable
from pathlib import Path

import pytest
from django.test import Client
from PIL import Image

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat, Photo
from tests.factories.boats import BoatFactory

Open = Callable[[User], Client]


@pytest.fixture
def boat(shop: Shop) -> Boat:
    return BoatFactory(shop=shop)


@pytest.fixture
def desk(writer: User, client_for: Open) -> Client:
    return client_for(writer)


def text_of(answer: object) -> str:
    return answer.content.decode()


@pytest.fixture
def shelf(settings: object, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def picture(kind: str = "JPEG", size: tuple[int, int] = (60, 40), **facts: object) -> io.BytesIO:
    file = io.BytesIO()
    Image.new("RGB", size, "teal").save(file, kind, **facts)
    file.seek(0)
    file.name = "anything.exe"
    return file


def test_a_photo_is_kept_anew_without_its_hidden_data_and_once(
    desk: Client, boat: Boat, shelf: Path
) -> None:
    hidden = Image.Exif()
    hidden[0x010E] = "where I live"
    for _ in (1, 2):
        file = picture(exif=hidden)
        answer = desk.post(f"/boats/{boat.pk}/photos/", {"image": file, "caption": "Dash"})
        assert answer.status_code == 302
    photo = Photo.objects.get()
    answer = desk.get(f"/boats/photos/{photo.pk}/")
    body = b"".join(answer.streaming_content)
    assert answer["Content-Type"] == "image/jpeg"
    assert b"where I live" not in body
    assert photo.image.name == f"photos/{boat.pk}/{photo.digest}.jpg"


def test_a_clear_png_becomes_a_jpeg(desk: Client, boat: Boat, shelf: Path) -> None:
    answer = desk.post(f"/boats/{boat.pk}/photos/", {"image": picture("PNG")})
    assert answer.status_code == 302
    with Image.open(shelf / Photo.objects.get().image.name) as kept:
        assert kept.format == "JPEG"


def not_pictures() -> list[tuple[str, bytes]]:
    whole = picture(size=(400, 400)).getvalue()
    return [
        ("words", b"no picture at all"),
        ("page", b"<svg xmlns='http://www.w3.org/2000/svg'/>"),
        ("gif", picture("GIF").getvalue()),
        ("torn", whole[: len(whole) // 2]),
    ]


@pytest.mark.parametrize(("name", "body"), not_pictures())
def test_an_upload_that_is_no_picture_is_refused_beside_its_field(
    desk: Client, boat: Boat, shelf: Path, name: str, body: bytes
) -> None:
    file = io.BytesIO(body)
    file.name = f"{name}.jpg"
    answer = desk.post(f"/boats/{boat.pk}/photos/", {"image": file, "caption": "Keep me"})
    assert answer.status_code == 422
    assert "no JPEG or PNG picture" in text_of(answer)
    assert 'value="Keep me"' in text_of(answer)
    assert not Photo.objects.exists()
    assert not list(shelf.rglob("*.jpg"))


def test_a_picture_too_large_in_bytes_or_dots_is_refused(
    desk: Client, boat: Boat, shelf: Path, settings: object
) -> None:
    huge = desk.post(f"/boats/{boat.pk}/photos/", {"image": picture("PNG", (9000, 6000))})
    assert huge.status_code == 422
    assert "more than can be taken" in text_of(huge)
    settings.UPLOAD_LIMIT_BYTES = 100
    heavy = desk.post(f"/boats/{boat.pk}/photos/", {"image": picture()})
    assert heavy.status_code == 422
    assert "Send a smaller picture" in text_of(heavy)


def test_photos_are_added_by_those_who_edit_boats(
    parts_person: User, client_for: Open, boat: Boat, shelf: Path
) -> None:
    answer = client_for(parts_person).post(f"/boats/{boat.pk}/photos/", {"image": picture()})
    assert answer.status_code == 403
