"""Text travels small where the browser takes it; what is small already passes as it is."""

import gzip

import pytest
from django.http import HttpResponse
from django.test import RequestFactory

from shopapp.middleware import TextGzipMiddleware

LONG = b"Lantern " * 500


def answered(kind, accept="gzip"):
    request = RequestFactory().get("/", headers={"accept-encoding": accept})
    return TextGzipMiddleware(lambda _: HttpResponse(LONG, content_type=kind))(request)


@pytest.mark.parametrize(
    "kind", ["text/html; charset=utf-8", "text/javascript", "application/json"]
)
def test_text_is_made_small(kind):
    answer = answered(kind)

    assert answer["Content-Encoding"] == "gzip"
    assert len(answer.content) < len(LONG) / 10
    assert gzip.decompress(answer.content) == LONG


@pytest.mark.parametrize("kind", ["image/jpeg", "application/pdf", "application/octet-stream"])
def test_pictures_and_papers_pass_as_they_are(kind):
    assert answered(kind).content == LONG


def test_a_browser_that_takes_no_small_text_gets_it_as_it_is():
    assert answered("text/html", accept="identity").content == LONG


def test_a_script_of_the_desk_travels_small(client):
    answer = client.get("/static/tablet/app.js", headers={"accept-encoding": "gzip"})

    assert answer["Content-Encoding"] == "gzip"
    assert b"firstLook" in gzip.decompress(b"".join(answer.streaming_content))
