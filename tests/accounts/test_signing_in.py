"""The door: signing in, out, wrong tries, and a password of one's own."""

from collections.abc import Callable
from http import HTTPStatus

import pytest
from django.contrib.sessions.models import Session
from django.test import Client

from shopapp.accounts.models import SignIn, User
from tests.factories.accounts import PASSWORD

pytestmark = pytest.mark.urls("tests.ui.sample")
AT_DOOR = {"username": "wanda", "password": PASSWORD}


def through_the_door(user: User, **meta: str) -> Client:
    client = Client(**meta)
    answer = client.post("/sign-in/", {"username": user.username, "password": PASSWORD})
    assert answer.status_code == HTTPStatus.FOUND
    return client


def test_the_right_password_leads_to_the_page_asked_for(writer: User) -> None:
    answer = Client().post("/sign-in/", AT_DOOR | {"next": "/me/"})
    assert answer.status_code == HTTPStatus.FOUND
    assert answer["Location"] == "/me/"


@pytest.mark.parametrize("elsewhere", ["https://example.org/", "//example.org", "javascript:x"])
def test_a_way_out_of_the_site_is_not_followed(writer: User, elsewhere: str) -> None:
    answer = Client().post("/sign-in/", AT_DOOR | {"next": elsewhere})
    assert answer["Location"] == "/"


def test_a_wrong_password_says_so_and_keeps_the_name(writer: User) -> None:
    answer = Client().post("/sign-in/", AT_DOOR | {"password": "wrong"})
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert "do not belong together" in answer.content.decode()
    assert 'value="wanda"' in answer.content.decode()


def test_after_six_wrong_tries_even_the_right_password_waits(writer: User) -> None:
    client = Client()
    codes = [
        client.post("/sign-in/", AT_DOOR | {"password": "wrong"}).status_code for _ in range(6)
    ]
    answer = client.post("/sign-in/", AT_DOOR)
    assert codes == [422, 422, 422, 422, 422, 429]
    assert answer.status_code == HTTPStatus.TOO_MANY_REQUESTS
    assert "Too many wrong tries" in answer.content.decode()
    assert "is shut for 1 h, because" in answer.content.decode()
    elsewhere = Client(REMOTE_ADDR="192.0.2.9").post("/sign-in/", AT_DOOR)
    assert elsewhere.status_code == HTTPStatus.FOUND


def test_somebody_shut_out_gets_the_same_words_as_a_stranger(writer: User) -> None:
    writer.is_active = False
    writer.save()
    answer = Client().post("/sign-in/", AT_DOOR)
    assert "do not belong together" in answer.content.decode()


def test_signing_in_is_listed_with_browser_and_address(writer: User) -> None:
    through_the_door(writer, HTTP_USER_AGENT="Testbrowser Linux", REMOTE_ADDR="192.0.2.7")
    row = SignIn.objects.get(user=writer)
    assert (row.browser, row.address) == ("Testbrowser Linux", "192.0.2.7")


def test_signing_in_leaves_no_line_among_the_changes(writer: User) -> None:
    through_the_door(writer)
    assert list(writer.history.values_list("history_type", flat=True)) == ["+"]


def test_signing_out_takes_the_session_off_the_list(writer: User) -> None:
    client = through_the_door(writer)
    client.post("/sign-out/")
    assert not SignIn.objects.exists()
    assert client.get("/me/").status_code == HTTPStatus.FOUND


def test_signing_out_by_a_link_is_refused(writer: User) -> None:
    assert through_the_door(writer).get("/sign-out/").status_code == 405


def test_one_sign_in_is_ended_from_another(writer: User) -> None:
    lost, mine = through_the_door(writer), through_the_door(writer)
    row = SignIn.objects.exclude(session_key=mine.session.session_key).get()
    mine.post(f"/me/sign-ins/{row.pk}/end/")
    assert lost.get("/me/").status_code == HTTPStatus.FOUND
    assert mine.get("/me/").status_code == HTTPStatus.OK


def test_all_other_sign_ins_end_at_once(writer: User) -> None:
    others = [through_the_door(writer) for _ in range(2)]
    mine = through_the_door(writer)
    mine.post("/me/sign-ins/end-others/")
    assert [client.get("/me/").status_code for client in others] == [302, 302]
    assert mine.get("/me/").status_code == HTTPStatus.OK
    assert SignIn.objects.count() == 1


def test_nobody_ends_the_sign_in_of_another_person(writer: User, technician: User) -> None:
    theirs, mine = through_the_door(technician), through_the_door(writer)
    row = SignIn.objects.get(user=technician)
    mine.post(f"/me/sign-ins/{row.pk}/end/")
    assert theirs.get("/me/").status_code == HTTPStatus.OK


def test_a_sign_in_whose_session_is_gone_is_not_listed(writer: User) -> None:
    gone, mine = through_the_door(writer), through_the_door(writer)
    Session.objects.filter(session_key=gone.session.session_key).delete()
    assert len(mine.get("/me/").context["sign_ins"]) == 1


def change(client: Client, **words: str) -> object:
    facts = {"old": PASSWORD, "fresh": "slow grey heron 9", "again": "slow grey heron 9"}
    return client.post("/me/password/", facts | words)


def test_a_new_password_keeps_this_sign_in_and_ends_the_others(writer: User) -> None:
    other, mine = through_the_door(writer), through_the_door(writer)
    assert change(mine).status_code == HTTPStatus.FOUND
    assert mine.get("/me/").status_code == HTTPStatus.OK
    assert other.get("/me/").status_code == HTTPStatus.FOUND
    assert SignIn.objects.get().session_key == mine.session.session_key
    writer.refresh_from_db()
    assert writer.check_password("slow grey heron 9")


@pytest.mark.parametrize(
    ("words", "field"),
    [
        ({"old": "not it"}, "old"),
        ({"again": "another one 9"}, "again"),
        ({"fresh": "short", "again": "short"}, "fresh"),
        ({"fresh": PASSWORD, "again": PASSWORD}, "fresh"),
        ({"fresh": "8473628193", "again": "8473628193"}, "fresh"),
    ],
)
def test_a_password_that_will_not_do_is_refused_beside_its_field(
    client_for: Callable[[User], Client], writer: User, words: dict[str, str], field: str
) -> None:
    answer = change(client_for(writer), **words)
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert list(answer.context["form"].errors) == [field]


def test_a_temporary_password_opens_only_the_change_of_it(
    client_for: Callable[[User], Client], writer: User
) -> None:
    writer.must_change_password = True
    writer.save()
    client = client_for(writer)
    assert client.get("/me/")["Location"] == "/me/password/"
    assert client.get("/pick/sample-person")["Location"] == "/me/password/"
    assert client.get("/me/password/").status_code == HTTPStatus.OK
    change(client)
    assert client.get("/me/").status_code == HTTPStatus.OK
