"""What no page could answer is answered in one place, in words."""

import pytest


@pytest.mark.parametrize("address", ["/boats/?q=%00", "/search/?q=a%00b", "/q/%00/"])
def test_an_address_with_a_nul_character_is_refused(client_for, writer, address):
    answer = client_for(writer).get(address)
    assert answer.status_code == 400
    assert "holds a character that nothing here is called by" in answer.content.decode()


def test_the_api_says_it_as_a_problem(client_for, writer):
    answer = client_for(writer).get("/api/boats/?search=%00")
    assert answer.status_code == 400
    assert answer.json()["detail"].startswith("The address holds a character")
