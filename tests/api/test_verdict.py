"""The verdict as JSON: the same words as on the page, bound to shop and role."""

import pytest
from django.urls import reverse

from tests.planner.worlds import two_displays

URL = reverse("api:verdict")


@pytest.fixture
def world(shop):
    return two_displays(shop)


def test_a_verdict_tells_needs_statements_and_pairs(world, technician, client_for):
    asked = {"unit": ["display-q@2.0", "display-r@3.1"], "behind": ["switch-b"]}
    told = client_for(technician).get(URL, asked).json()
    assert told["verdict"] == "works_with_part"
    assert "Update the Plover 7 from 2.0 to 2.2." in told["needs"]
    assert told["units"][0] == {"model": "display-q", "release": "2.0"}
    assert told["behind"] == [{"model": "switch-b", "release": None}]
    assert [pair["models"] for pair in told["pairs"]] == [
        ["display-q", "display-r"],
        ["display-q", "switch-b"],
        ["display-r", "switch-b"],
    ]
    said = told["statements"][0]
    assert said["code"] == "S-1"
    assert said["confidence_now"] == "high"
    assert said["seen"]


def test_a_release_left_out_is_not_known(world, technician, client_for):
    asked = {"unit": ["display-q", "display-r@3.1"], "behind": ["switch-b"]}
    assert client_for(technician).get(URL, asked).json()["verdict"] == "not_known"


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"unit": ["ghost", "display-r"]}, "The catalogue has no model ghost."),
        ({"unit": ["display-q@7", "display-r"]}, "Plover 7 never had 7."),
        ({"unit": ["display-q"]}, "Name two units at least."),
        ({}, "Name two units at least."),
    ],
)
def test_what_cannot_be_right_is_refused_with_words(world, technician, client_for, asked, words):
    response = client_for(technician).get(URL, asked)
    assert response.status_code == 422
    assert words in response.json()["detail"]


def test_nobody_asks_without_a_login_or_of_another_shop(world, stranger, client, client_for):
    asked = {"unit": ["display-q", "display-r"]}
    assert client.get(URL, asked).status_code == 403
    assert client_for(stranger).get(URL, asked).status_code == 422
    assert client_for(stranger).post(URL, asked).status_code == 403
