"""Photos come in pieces and go on where they broke off."""

import io

import pytest
from django.conf import settings
from PIL import Image

from shopapp.boats.models import Evidence, Photo
from shopapp.jobs.models import Problem
from shopapp.tablet.models import Entry, PhotoUpload
from shopapp.tablet.services.photos import part_path


@pytest.fixture(autouse=True)
def media(tmp_path, settings):
    settings.MEDIA_ROOT = tmp_path


def picture(side: int = 400) -> bytes:
    out = io.BytesIO()
    Image.effect_noise((side, side), 80).convert("RGB").save(out, "JPEG", quality=90)
    return out.getvalue()


def test_a_photo_in_pieces_is_whole_at_the_end(works, device):
    tablet, raw = device(), picture()
    entry = tablet.photo(raw, caption="Behind the dash")
    assert tablet.outcome(entry) == ["taken"]
    half = len(raw) // 2
    assert tablet.piece(entry, raw, 0, half).json()["have"] == half
    assert tablet.piece(entry, raw, half, len(raw)).json()["state"] == "ready"
    photo = Photo.objects.get(boat=works.job.boat)
    assert (photo.caption, photo.by) == ("Behind the dash", works.technician)
    assert not part_path(PhotoUpload.objects.get()).exists()


def test_it_goes_on_where_it_broke_off(works, device):
    tablet, raw = device(), picture()
    entry = tablet.photo(raw)
    tablet.sent(entry)
    tablet.piece(entry, raw, 0, 1000)
    address = f"/api/tablet/photos/{entry['body']['photo']}/"
    assert tablet.client.get(address).json()["have"] == 1000
    too_far = tablet.piece(entry, raw, 2000, 3000)
    assert (too_far.status_code, too_far.json()["have"]) == (409, 1000)
    again = tablet.piece(entry, raw, 0, 1000)
    assert (again.status_code, again.json()["have"]) == (200, 1000)
    assert tablet.piece(entry, raw, 1000, len(raw)).json()["state"] == "ready"
    twice = tablet.piece(entry, raw, 1000, len(raw))
    assert (twice.status_code, twice.json()["state"]) == (200, "ready")
    assert Photo.objects.count() == 1


def test_a_piece_written_but_not_counted_is_written_again(works, device):
    tablet, raw = device(), picture()
    entry = tablet.photo(raw)
    tablet.sent(entry)
    tablet.piece(entry, raw, 0, 3000)
    PhotoUpload.objects.update(have=1000)
    assert tablet.piece(entry, raw, 1000, len(raw)).json()["state"] == "ready"


def test_a_damaged_file_begins_again(works, device):
    tablet, raw = device(), picture()
    entry = tablet.photo(raw)
    tablet.sent(entry)
    tablet.piece(entry, raw, 0, 3000)
    part_path(PhotoUpload.objects.get()).write_bytes(b"x" * 3000)
    answer = tablet.piece(entry, raw, 3000, len(raw)).json()
    assert (answer["have"], answer["state"]) == (0, "receiving")


def test_forty_megabytes_are_refused_before_a_byte_is_sent(works, device):
    tablet = device()
    entry = tablet.photo(b"x")
    entry["body"]["size"] = 40_000_000
    (answer,) = tablet.sent(entry)
    assert answer["outcome"] == "refused"
    limit = settings.UPLOAD_LIMIT_BYTES // (1024 * 1024)
    assert f"40 MB; {limit} MB are taken" in answer["message"]
    assert "send a smaller one" in answer["todo"]


def test_what_is_no_picture_is_refused_with_words(works, device):
    tablet, raw = device(), b"no picture at all" * 20
    entry = tablet.photo(raw)
    tablet.sent(entry)
    answer = tablet.piece(entry, raw, 0, len(raw)).json()
    assert answer["state"] == "refused"
    assert "no JPEG or PNG picture" in answer["message"]


def test_a_piece_must_fit_its_photo(works, device, second):
    tablet, raw = device(), picture()
    entry = tablet.photo(raw)
    tablet.sent(entry)
    assert tablet.piece(entry, raw, 0, 10, total=99).status_code == 400
    tablet.client.force_login(second)
    assert tablet.piece(entry, raw, 0, 10).status_code == 422
    assert PhotoUpload.objects.get().have == 0


def test_a_photo_is_tied_to_its_problem_and_to_what_was_found(works, device):
    tablet, raw = device(), picture()
    problem = tablet.entry("problem", symptom="water", words="Water inside", unit="d1")
    found = tablet.set("unit:d1", serial="SN-1")
    one = tablet.photo(raw, purpose=f"problem:{problem['uid']}")
    other = tablet.photo(raw, purpose="unit:d1")
    tablet.sent(problem, found, one, other)
    for entry in (one, other):
        tablet.piece(entry, raw, 0, len(raw))
    photo = Photo.objects.get()
    assert Problem.objects.get().photo == photo
    assert Evidence.objects.get(fact="serial", value="SN-1").photo == photo
    assert Entry.objects.filter(outcome="taken").count() == 4
