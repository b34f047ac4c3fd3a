"""What if? Pins typed in rows, planned anew and set beside the plan that they were asked of."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from planner import services
from planner.models import PlanRun
from planner.pins import pin_words
from planner.reasons.comparing import comparison
from planner.services import plan_again, start_plan, start_what_if
from shopapp.accounts.models import Shop, User
from shopapp.errors import FactRefused
from shopapp.jobs.services.quotes import create_quote
from tests.planner.worlds import World, add, two_displays

pytestmark = pytest.mark.django_db
ClientFor = Callable[[User], Client]
REMOVE_D1 = {"kind": "remove", "unit": "d1"}


@pytest.fixture
def world(shop: Shop) -> World:
    return two_displays(shop)


@pytest.fixture
def run(world: World, writer: User) -> PlanRun:
    return start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)


def url(name: str, run: PlanRun) -> str:
    return reverse(f"planner:{name}", args=[run.pk])


def sent(*rows: dict[str, object]) -> dict[str, object]:
    """What the browser sends for these rows."""
    data: dict[str, object] = {"pin-TOTAL_FORMS": len(rows), "pin-INITIAL_FORMS": 0}
    for number, row in enumerate(rows):
        data |= {f"pin-{number}-{name}": value for name, value in row.items()}
    return data


def text_of(response: object) -> str:
    return response.content.decode()


@pytest.mark.parametrize(
    ("row", "pin"),
    [
        ({"kind": "stay", "unit": "d1"}, {"pin": "unit", "unit": "d1", "fate": "stays"}),
        (
            {"kind": "replace", "unit": "d1", "model": "display-r"},
            {"pin": "unit", "unit": "d1", "fate": "replaced", "model": "display-r"},
        ),
        (REMOVE_D1, {"pin": "unit", "unit": "d1", "fate": "removed"}),
        ({"kind": "off", "unit": "d1"}, {"pin": "unit", "unit": "d1", "networked": False}),
        ({"kind": "on", "unit": "d1"}, {"pin": "unit", "unit": "d1", "networked": True}),
        (
            {"kind": "release", "unit": "d1", "release": "2.2"},
            {"pin": "unit", "unit": "d1", "release": "2.2"},
        ),
        (
            {"kind": "not_replace", "unit": "d1"},
            {"pin": "unit", "unit": "d1", "fate": "replaced", "not": True},
        ),
        (
            {"kind": "not_release", "unit": "d1", "release": "2.2"},
            {"pin": "unit", "unit": "d1", "release": "2.2", "not": True},
        ),
        (
            {"kind": "not_model", "unit": "wish-1", "model": "display-r"},
            {"pin": "unit", "unit": "wish-1", "model": "display-r", "not": True},
        ),
        (
            {"kind": "switch", "location": "bow"},
            {"pin": "switch", "location": "bow", "model": None, "present": True},
        ),
        ({"kind": "forbid", "model": "switch-b"}, {"pin": "forbid_model", "model": "switch-b"}),
        (
            {"kind": "switch", "model": "switch-b", "location": "bow"},
            {"pin": "switch", "location": "bow", "model": "switch-b", "present": True},
        ),
        (
            {"kind": "no_switch", "model": "switch-b", "location": "bow"},
            {"pin": "switch", "location": "bow", "model": "switch-b", "present": False},
        ),
        ({"kind": "count", "count": 0}, {"pin": "new_switches", "at_most": 0}),
    ],
)
def test_each_row_becomes_a_pin_that_is_planned_with(
    run: PlanRun, writer: User, client_for: ClientFor, row: dict, pin: dict
) -> None:
    client = client_for(writer)
    response = client.post(url("what_if", run), sent(row, {"kind": ""}))
    fresh = PlanRun.objects.latest("pk")
    assert response.url == url("compare", fresh)
    assert fresh.wishes["pins"] == [pin]
    assert fresh.wishes["what_if_of"] == {"run": run.pk, "option": 1}
    assert fresh.case == run.case
    page = client.get(response.url)
    assert page.status_code == 200
    assert pin_words(run.case, pin) in text_of(page)


def test_a_what_if_keeps_its_pin_in_every_plan(run: PlanRun, writer: User) -> None:
    fresh = start_what_if(
        run=run, pins=[{"pin": "unit", "unit": "d1", "fate": "removed"}], by=writer
    )
    fates = {
        unit["fate"]
        for plan in fresh.answer["options"]
        for unit in plan["units"]
        if unit["unit"] == "d1"
    }
    assert fates == {"removed"}


def test_the_comparison_tells_money_minutes_parts_and_verdict(run: PlanRun, writer: User) -> None:
    pin = {"pin": "unit", "unit": "d1", "fate": "replaced", "model": "display-r"}
    fresh = start_what_if(run=run, pins=[pin], by=writer)
    told = comparison(run, fresh)
    one, two = run.answer["options"][0], fresh.answer["options"][0]
    by_name = {row.what: row for row in told["differences"]}
    assert by_name["of it parts"].amount == two["parts_cents"] - one["parts_cents"]
    assert by_name["Labour"].amount == two["labour_minutes"] - one["labour_minutes"]
    assert "1 × Plover 9" in by_name["Bought"].after
    assert [column.title for column in told["sheet"].columns] == ["As planned", "What if"]


def test_the_page_beside_the_plan_offers_a_quote_of_it(
    run: PlanRun, writer: User, client_for: ClientFor
) -> None:
    fresh = start_what_if(
        run=run, pins=[{"pin": "unit", "unit": "d1", "networked": False}], by=writer
    )
    page = text_of(client_for(writer).get(url("compare", fresh)))
    assert "d1 (Plover 7) is off the network" in page
    assert "Make a quote of the what-if" in page
    quote = create_quote(run=fresh, by=writer)
    plans = [option.plan for option in quote.options.all()]
    off = [u["networked"] for plan in plans for u in plan["units"] if u["unit"] == "d1"]
    assert off == [False] * len(plans)


def test_the_plan_asked_of_is_not_called_old(
    run: PlanRun, writer: User, client_for: ClientFor
) -> None:
    start_what_if(run=run, pins=[{"pin": "new_switches", "at_most": 1}], by=writer)
    page = text_of(client_for(writer).get(url("run", run)))
    assert "This boat was planned again since." not in page


def test_a_what_if_that_cannot_be_names_the_pin_and_drops_it_by_a_button(
    run: PlanRun, writer: User, client_for: ClientFor
) -> None:
    client = client_for(writer)
    client.post(url("what_if", run), sent({"kind": "count", "count": 0}, {
        "kind": "forbid", "model": "display-r"}))  # fmt: skip
    fresh = PlanRun.objects.latest("pk")
    assert fresh.feasible is False
    page = text_of(client.get(url("compare", fresh)))
    assert "No new Plover 9 is bought" in page
    assert 'name="drop" value="pin-2"' in page
    client.post(url("again", fresh), {"drop": "pin-2"})
    again = PlanRun.objects.latest("pk")
    assert again.wishes["pins"] == [{"pin": "new_switches", "at_most": 0}]


def test_pins_are_planned_again_with_the_records_of_today(
    world: World, run: PlanRun, writer: User
) -> None:
    pins = [{"pin": "unit", "unit": "d1", "networked": False}]
    fresh = start_what_if(run=run, pins=pins, by=writer)
    part = world.models["display-r"].part
    part.price_cents += 700
    part.save()
    again = plan_again(run=fresh, by=writer)
    totals = [one.answer["options"][0]["total_cents"] for one in (fresh, again)]
    assert totals[1] == totals[0] + 700
    assert again.wishes["pins"] == pins


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([{"kind": ""}], "Fill at least one row"),
        ([{"unit": "d1"}], "Choose what is held fast."),
        ([{"kind": "stay"}], "Choose the unit."),
        ([{"kind": "stay", "unit": "wish-1"}], "This one is not aboard yet"),
        ([{"kind": "stay", "unit": "ghost"}], "Pick one from the list."),
        ([{"kind": "release", "unit": "d1"}], "Choose the release."),
        ([{"kind": "model", "unit": "d1", "model": "display-r"}], "This one is aboard"),
        ([{"kind": "not_model", "unit": "d1", "model": "display-r"}], "This one is aboard"),
        ([{"kind": "not_replace", "unit": "wish-1"}], "This one is not aboard yet"),
        (
            [{"kind": "replace", "unit": "d1", "model": "display-q"}],
            "d1 is a Plover 7 already.",
        ),
        (
            [{"kind": "replace", "unit": "d1", "model": "switch-b"}],
            "A switch never takes the place of another kind",
        ),
        (
            [{"kind": "switch", "location": "bow", "model": "display-r"}],
            "Plover 9 is not a switch.",
        ),
        ([{"kind": "switch", "model": "switch-b"}], "Choose the place."),
        ([{"kind": "count", "count": -1}], "greater than or equal to 0"),
        ([{"kind": "count"}], "Write how many; 0 for none."),
    ],
)
def test_a_pin_that_cannot_be_is_told_beside_its_row_and_kept(
    run: PlanRun, writer: User, client_for: ClientFor, rows: list[dict], words: str
) -> None:
    response = client_for(writer).post(url("what_if", run), sent(*rows))
    assert response.status_code == 422
    assert words in text_of(response)
    assert PlanRun.objects.count() == 1


def test_a_pin_of_something_unknown_is_refused_by_its_number(run: PlanRun, writer: User) -> None:
    pins = [{"pin": "new_switches", "at_most": 1}, {"pin": "unit", "unit": "ghost"}]
    with pytest.raises(FactRefused) as refused:
        start_what_if(run=run, pins=pins, by=writer)
    assert refused.value.field == "pin-2"


def test_a_what_if_that_takes_long_is_left_to_the_worker(
    run: PlanRun, writer: User, client_for: ClientFor, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(services, "IN_REQUEST_SECONDS", -1.0)
    client = client_for(writer)
    response = client.post(url("what_if", run), sent(REMOVE_D1), follow=True)
    fresh = PlanRun.objects.latest("pk")
    assert response.redirect_chain[-1][0] == url("run", fresh)
    assert "Waiting for the worker" in text_of(response)


def test_the_list_of_plans_says_what_was_asked(
    run: PlanRun, writer: User, client_for: ClientFor
) -> None:
    client_for(writer).post(url("what_if", run), sent(REMOVE_D1))
    page = text_of(client_for(writer).get(reverse("planner:plans", args=[run.boat_id])))
    assert "what if: d1 (Plover 7) is taken out" in page


@pytest.mark.parametrize("name", ["what_if", "compare", "questions", "why_not"])
def test_another_shop_never_sees_a_what_if(
    run: PlanRun, stranger: User, client_for: ClientFor, name: str
) -> None:
    assert client_for(stranger).get(url(name, run)).status_code == 404


def test_a_technician_reads_answers_and_plans_nothing(
    run: PlanRun, technician: User, client_for: ClientFor
) -> None:
    client = client_for(technician)
    assert client.get(url("questions", run)).status_code == 200
    assert client.get(url("why_not", run), {"question": 1}).status_code == 200
    assert client.get(url("what_if", run)).status_code == 403
    assert client.post(url("what_if_asked", run), {"question": 1}).status_code == 403


def test_a_plan_without_options_has_no_what_if(
    world: World, writer: User, client_for: ClientFor
) -> None:
    far = add("switch-b") | {"models": []} | {"kind_wanted": "radar"}
    run = start_plan(boat=world.boat, wishes=world.wishes(far), by=writer)
    assert client_for(writer).get(url("what_if", run)).status_code == 404


@pytest.mark.parametrize("count", [1, 9])
def test_the_page_keeps_its_queries(
    world: World,
    writer: User,
    client_for: ClientFor,
    django_assert_num_queries: Callable,
    count: int,
) -> None:
    for number in range(count):
        world.fit(f"s{number}", "sounder-s", networked=False)
    run = start_plan(boat=world.boat, wishes=world.wishes(), by=writer)
    client = client_for(writer)
    client.get(url("what_if", run))
    with django_assert_num_queries(QUERIES):
        client.get(url("what_if", run))


QUERIES = 3
