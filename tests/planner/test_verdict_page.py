"""Does it work together? Asked of models at releases, without a boat."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from planner.models import Statement
from planner.reasons.asking import read_asked
from shopapp.accounts.models import Shop, User
from tests.factories.catalog import EquipmentModelFactory
from tests.factories.planner import StatementFactory
from tests.planner.worlds import World, two_displays

pytestmark = pytest.mark.django_db
ClientFor = Callable[[User], Client]
URL = reverse("planner:verdict")


@pytest.fixture
def world(shop: Shop) -> World:
    return two_displays(shop)


def asked(client: Client, *units: str, behind: tuple[str, ...] = ()) -> str:
    """The page of a question; the badge of its answer stands in the card's heading."""
    response = client.get(URL, {"unit": units, "behind": behind})
    assert response.status_code == 200
    return response.content.decode()


def badge(page: str) -> str:
    """The class and word of the answer."""
    head = page.split('<h2 id="answer">')[1].split("</h2>", maxsplit=1)[0]
    return " ".join(
        head.replace('<span class="badge ', "").replace('">', ": ").split("<")[0].split()
    )


@pytest.mark.parametrize(
    ("units", "expected", "needs"),
    [
        (("display-r@3.1", "display-r@3.1"), "good: Works", "they meet every statement"),
        (("display-q@2.2", "display-r@3.1"), "look: Works with part", "1 × Adapter lead X"),
        (("display-q@2.0",), "look: Works with part", "Update the Plover 7 from 2.0 to 2.2."),
    ],
)
def test_a_verdict_is_a_word_with_what_it_takes_and_who_says_so(
    world: World,
    technician: User,
    client_for: ClientFor,
    units: tuple,
    expected: str,
    needs: str,
) -> None:
    page = asked(client_for(technician), *units, behind=("switch-b",))
    assert badge(page) == expected
    assert needs in page
    assert "Install guide, invented for tests" in page


def test_what_no_statement_speaks_of_is_not_known_and_never_green(
    world: World, technician: User, client_for: ClientFor
) -> None:
    EquipmentModelFactory(shop=world.shop, code="lonely", name="Auk 1")
    page = asked(client_for(technician), "lonely", "display-r@3.1")
    assert badge(page) == "unknown: Not known"
    assert "Not known is not fine" in page


def test_a_release_that_nobody_knows_is_asked_for(
    world: World, technician: User, client_for: ClientFor
) -> None:
    page = asked(client_for(technician), "display-q", "display-r@3.1", behind=("switch-b",))
    assert badge(page) == "unknown: Not known"
    assert "Read the release of the Plover 7" in page


def test_what_a_statement_forbids_does_not_work(
    world: World, technician: User, client_for: ClientFor
) -> None:
    rule = {"at_most": 0, "of": {"models": ["sounder-s"]}, "when": {"models": ["display-r"]}}
    StatementFactory(shop=world.shop, code="S-9", rule=rule, text="Plover 9 shows no Dipper.")
    page = asked(client_for(technician), "sounder-s", "display-r@3.1")
    assert badge(page) == "stop: Does not work"
    assert "Plover 9 shows no Dipper." in page
    assert "Stands against it" in page


def test_one_too_many_works_only_with_one_left_off(
    world: World, technician: User, client_for: ClientFor
) -> None:
    page = asked(client_for(technician), "sounder-s", "sounder-s", behind=("switch-b",))
    assert badge(page) == "look: Only if isolated"
    assert "Leave the Dipper 2 (no. 1) off the network" in page


def test_an_old_statement_counts_one_step_lower(
    world: World, technician: User, client_for: ClientFor
) -> None:
    Statement.objects.filter(code="S-2").update(seen="2020-01-01", confidence="high")
    page = asked(client_for(technician), "sounder-s", "sounder-s", behind=("switch-b",))
    assert "was high, not checked since 1 Jan 2020" in page


def test_models_are_said_by_their_names(
    world: World, technician: User, client_for: ClientFor
) -> None:
    page = asked(client_for(technician), "display-q@2.0", "display-r@3.1", behind=("switch-b",))
    answer = page.split('<h2 id="answer">')[1].split("<form")[0]
    assert "Plover 7" in answer
    assert "display-q" not in answer
    assert "unit-" not in answer


@pytest.mark.parametrize(
    ("units", "behind", "words"),
    [
        (("ghost", "display-r"), (), "The catalogue has no model ghost."),
        (("display-q@9.9", "display-r"), (), "Plover 7 never had 9.9. It has 2.0, 2.2."),
        (("sounder-s@1", "display-r"), (), "Dipper 2 never had 1. It has no firmware."),
        (("display-q", "display-r"), ("display-r",), "Plover 9 is not a switch."),
        (("display-r",) * 13, (), "At most 12 units are judged at once."),
        (("", "@@@"), (), "The catalogue has no model"),
    ],
)
def test_an_address_that_cannot_be_right_is_refused_in_words(
    world: World,
    technician: User,
    client_for: ClientFor,
    units: tuple,
    behind: tuple,
    words: str,
) -> None:
    response = client_for(technician).get(URL, {"unit": units, "behind": behind})
    assert response.status_code == 422
    assert words in response.content.decode()


def test_one_model_alone_fills_the_form_and_asks_for_the_other(
    world: World, technician: User, client_for: ClientFor
) -> None:
    page = asked(client_for(technician), "display-q")
    assert 'value="Plover 7"' in page
    assert 'id="answer"' not in page


def sent(world: World, *rows: dict[str, object], **behind: str) -> dict[str, object]:
    """What the browser sends for these rows."""
    data: dict[str, object] = {"unit-TOTAL_FORMS": len(rows), "unit-INITIAL_FORMS": 0}
    for number, row in enumerate(rows):
        data |= {f"unit-{number}-{name}": value for name, value in ({"count": 1} | row).items()}
    return data | {f"behind-{name}": value for name, value in behind.items()}


def test_a_question_sent_becomes_an_address_to_keep(
    world: World, technician: User, client_for: ClientFor
) -> None:
    one, two = (world.models[code].pk for code in ("display-q", "display-r"))
    rows = ({"model": one, "release": "2.0"}, {"model": two, "count": 2}, {})
    response = client_for(technician).post(URL, sent(world, *rows, model="switch-b"))
    assert response.status_code == 302
    assert response.url == (
        f"{URL}?unit=display-q@2.0&unit=display-r&unit=display-r&behind=switch-b"
    )


@pytest.mark.parametrize(
    ("row", "behind", "words"),
    [
        ({"release": "9.9"}, {}, "Plover 7 never had 9.9."),
        ({"count": 0}, {}, "greater than or equal to 1"),
        ({"count": 13}, {}, "less than or equal to 12"),
        ({}, {"release": "1.0"}, "Choose the switch that this release is of."),
        ({}, {"model": "display-q"}, "Pick one from the list."),
    ],
)
def test_a_wrong_row_is_told_beside_its_field_and_kept(
    world: World, technician: User, client_for: ClientFor, row: dict, behind: dict, words: str
) -> None:
    data = sent(world, {"model": world.models["display-q"].pk} | row, **behind)
    response = client_for(technician).post(URL, data)
    page = response.content.decode()
    assert response.status_code == 422
    assert words in page
    assert 'value="Plover 7"' in page


def test_more_units_than_a_network_takes_are_refused(
    world: World, technician: User, client_for: ClientFor
) -> None:
    key = world.models["display-q"].pk
    data = sent(world, {"model": key, "count": 7}, {"model": key, "count": 7})
    response = client_for(technician).post(URL, data)
    assert response.status_code == 422
    assert "At most 12 units are judged at once." in response.content.decode()


@pytest.mark.parametrize("count", [2, 4])
def test_the_page_keeps_its_queries(
    world: World,
    technician: User,
    client_for: ClientFor,
    django_assert_num_queries: Callable,
    count: int,
) -> None:
    for number in range(count):
        StatementFactory(shop=world.shop, code=f"T-{number}")
    client = client_for(technician)
    asked(client, *["display-r@3.1"] * count)
    with django_assert_num_queries(VERDICT_QUERIES):
        asked(client, *["display-r@3.1"] * count)


VERDICT_QUERIES = 13


def test_another_shops_models_are_unknown(
    world: World, stranger: User, client_for: ClientFor
) -> None:
    response = client_for(stranger).get(URL, {"unit": ["display-q", "display-r"]})
    assert response.status_code == 422


def test_a_verdict_asks_for_a_login(client: Client) -> None:
    assert client.get(URL).status_code == 302


def test_an_address_reads_as_it_is_written() -> None:
    kept = read_asked(["a@1.0", "b"], ["c@2"])
    assert kept.query == "unit=a@1.0&unit=b&behind=c@2"
    assert read_asked(["a@1.0", "b"], ["c@2"]) == kept


def test_a_pair_leans_on_the_others_for_what_must_be_there(
    world: World, technician: User, client_for: ClientFor
) -> None:
    rule = {"at_least": 1, "of": {"kinds": ["display"]}, "when": {"models": ["sounder-s"]}}
    StatementFactory(shop=world.shop, code="S-8", rule=rule, text="Dipper needs a display.")
    client = client_for(technician)
    alone = asked(client, "sounder-s", behind=("switch-b",))
    assert badge(alone) == "stop: Does not work"
    page = asked(client, "sounder-s", "display-r@3.1", behind=("switch-b",))
    assert "Does not work" not in page.split("Each pair")[1].split("<form")[0]
