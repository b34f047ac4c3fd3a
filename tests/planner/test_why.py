"""Why each line of a plan is so, why it is not otherwise, what could tip it, what to measure."""

from collections.abc import Callable

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from planner.models import PlanRun
from planner.reasons import chosen as chosen_module
from planner.reasons.chosen import Chosen
from planner.reasons.tipping import tipping_page
from planner.reasons.whynot import answer_of, questions_of
from planner.services import start_plan, start_what_if
from shopapp.accounts.models import Shop, User
from tests.planner.worlds import World, add, two_displays

pytestmark = pytest.mark.django_db
ClientFor = Callable[[User], Client]
HTMX = {"HX-Request": "true"}


@pytest.fixture
def world(shop: Shop) -> World:
    return two_displays(shop)


def all_on(world: World) -> dict:
    """One display more, and both that are there stay on the network: that takes a switch."""
    keep = [{"kind": "network", "device": name} for name in ("d1", "d2")]
    return world.wishes(add(), *keep)


@pytest.fixture
def run(world: World, writer: User) -> PlanRun:
    return start_plan(boat=world.boat, wishes=all_on(world), by=writer)


@pytest.fixture(autouse=True)
def _nothing_kept() -> None:
    cache.clear()


def url(name: str, run: PlanRun) -> str:
    return reverse(f"planner:{name}", args=[run.pk])


def text_of(response: object) -> str:
    assert response.status_code == 200
    return response.content.decode()


def first(run: PlanRun) -> Chosen:
    return Chosen(run, 1, run.answer["options"][0])


def line_of(run: PlanRun, name: str) -> str:
    """The key of a unit's line."""
    units = run.answer["options"][0]["units"]
    return f"u{next(place for place, unit in enumerate(units) if unit['unit'] == name)}"


def test_every_unit_and_link_of_the_page_asks_why(
    run: PlanRun, technician: User, client_for: ClientFor
) -> None:
    page = text_of(client_for(technician).get(url("run", run)))
    plan = run.answer["options"][0]
    assert page.count(">Why?<") == len(plan["units"]) + len(plan["links"])


def test_a_wish_that_forces_a_unit_is_said_in_its_words(
    run: PlanRun, technician: User, client_for: ClientFor
) -> None:
    page = text_of(
        client_for(technician).get(url("why", run), {"line": line_of(run, "wish-1")}, headers=HTMX)
    )
    assert "What forces it" in page
    assert "Add Plover 9 at bow, on the network" in page
    assert "<html" not in page


def test_a_statement_that_forces_a_release_is_said_with_source_and_date(
    world: World, writer: User, technician: User, client_for: ClientFor
) -> None:
    unit = world.units["d1"]
    unit.release = unit.model.releases.get(name="2.0")
    unit.save()
    keep = {"kind": "network", "device": "d1"}
    sound = add("sounder-s")
    run = start_plan(boat=world.boat, wishes=world.wishes(add(), sound, keep), by=writer)
    page = text_of(client_for(technician).get(url("why", run)))
    assert "S-1: Weir takes Plover 7 from 2.2 and Plover 9." in page
    assert "Install guide, invented for tests" in page


def test_all_reasons_stand_on_one_page_without_scripts(
    run: PlanRun, technician: User, client_for: ClientFor
) -> None:
    page = text_of(client_for(technician).get(url("why", run)))
    plan = run.answer["options"][0]
    assert page.count('class="why-line"') == len(plan["units"]) + len(plan["links"])
    assert "display-q" not in page
    assert "display-r" not in page
    assert "wish-1" not in page


def test_what_else_would_cost_is_said_in_money(
    run: PlanRun, technician: User, client_for: ClientFor
) -> None:
    page = text_of(
        client_for(technician).get(url("why", run), {"line": line_of(run, "d1")}, headers=HTMX)
    )
    assert "The next best costs $" in page


def test_reasons_are_worked_out_once(
    run: PlanRun, technician: User, client_for: ClientFor, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = client_for(technician)
    before = text_of(client.get(url("why", run), headers=HTMX))
    monkeypatch.setattr("planner.engine.explain_plan", None)
    assert text_of(client.get(url("why", run), headers=HTMX)) == before


def test_no_time_is_not_known_never_fine(
    run: PlanRun, technician: User, client_for: ClientFor, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(chosen_module, "IN_REQUEST_SECONDS", -1.0)
    client = client_for(technician)
    why = text_of(client.get(url("why", run), {"line": line_of(run, "d1")}, headers=HTMX))
    assert "Not proven in the time given." in why
    assert 'badge unknown"' in why
    why_not = text_of(client.get(url("why_not", run), {"question": 1}, headers=HTMX))
    assert "Not proven in the time given." in why_not
    assert 'badge good"' not in why_not
    tipping = text_of(client.get(url("tipping", run), headers=HTMX))
    assert "Not proven in the time given." in tipping


def test_the_usual_questions_are_buttons_with_names(
    run: PlanRun, technician: User, client_for: ClientFor
) -> None:
    page = text_of(client_for(technician).get(url("questions", run), headers=HTMX))
    assert page.count('class="why-not"') == len(questions_of(first(run)))
    assert "Plover 7" in page
    assert "display-q" not in page


def test_each_answer_is_a_price_or_what_forbids_it(run: PlanRun) -> None:
    asked = first(run)
    answers = [answer_of(asked, question) for question in questions_of(asked)]
    assert {answer.possible for answer in answers} == {True, False}
    for answer in answers:
        assert answer.sentence if answer.possible else answer.forbidden_by or answer.text
        if answer.possible:
            assert answer.extra_cents >= 0


def test_doing_without_the_new_switch_is_answered_and_planned_on_a_press(
    run: PlanRun, writer: User, client_for: ClientFor
) -> None:
    question = next(q for q in questions_of(first(run)) if q.pin["pin"] == "new_switches")
    client = client_for(writer)
    page = text_of(client.get(url("why_not", run), {"question": question.number}))
    assert "Not possible" in page or "Possible" in page
    response = client.post(url("what_if_asked", run), {"question": question.number})
    fresh = PlanRun.objects.latest("pk")
    assert response.url == url("compare", fresh)
    assert fresh.wishes["pins"] == [question.pin]


@pytest.mark.parametrize("asked", [{"line": "u99"}, {"line": "x"}])
def test_a_line_that_is_not_there_is_not_found(
    run: PlanRun, technician: User, client_for: ClientFor, asked: dict
) -> None:
    assert client_for(technician).get(url("why", run), asked).status_code == 404


def test_a_question_that_is_not_there_is_not_found(
    run: PlanRun, technician: User, client_for: ClientFor
) -> None:
    client = client_for(technician)
    assert client.get(url("why_not", run), {"question": 999}).status_code == 404
    assert client.get(url("why_not", run), {"question": "x"}).status_code == 404


def test_a_pinned_unit_says_that_it_was_held_fast(
    run: PlanRun, writer: User, client_for: ClientFor
) -> None:
    pins = [{"pin": "unit", "unit": "d1", "fate": "stays"}]
    fresh = start_what_if(run=run, pins=pins, by=writer)
    page = text_of(client_for(writer).get(url("why", fresh), {"line": line_of(fresh, "d1")}))
    assert "d1 (Plover 7) stays aboard as the model that it is" in page
    assert "weigh against every plan without that" in page


def test_prices_and_labour_say_how_far_they_may_move(
    run: PlanRun, technician: User, client_for: ClientFor
) -> None:
    page = text_of(client_for(technician).get(url("tipping", run), headers=HTMX))
    assert "stays the cheapest" in page
    assert "An hour of labour" in page
    assert "display-q" not in page


def test_a_price_that_reaches_its_edge_keeps_the_plan_and_beyond_it_loses(
    world: World, writer: User
) -> None:
    cheap = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    edges = tipping_page(first(cheap))["edges"]
    edge = next(edge for edge in edges if edge.what == "Network cable 20 ft")
    cents = int(edge.highest.strip("$").replace(",", "").replace(".", ""))
    kinds = []
    for price in (cents, cents + 1):
        world.cables[20].price_cents = price
        world.cables[20].save()
        fresh = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
        kinds.append(kind_of(fresh))
    assert kinds[0] == kind_of(cheap)
    assert kinds[1] != kind_of(cheap)


def kind_of(run: PlanRun) -> list[tuple[str, str, bool]]:
    """What makes the kind of the cheapest plan."""
    units = run.answer["options"][0]["units"]
    return [(unit["model"], unit["fate"], unit["networked"]) for unit in units]


def test_another_option_points_to_the_cheapest(
    run: PlanRun, technician: User, client_for: ClientFor
) -> None:
    last = len(run.answer["options"])
    assert run.answer["options"][-1]["total_cents"] > run.answer["options"][0]["total_cents"]
    page = text_of(client_for(technician).get(url("tipping", run), {"option": last}, headers=HTMX))
    assert "This option is not the cheapest" in page


def test_unknowns_are_turned_to_their_bad_end_and_ranked(
    world: World, writer: User, technician: User, client_for: ClientFor
) -> None:
    world.boat.dc_limit_ma = None
    world.boat.save()
    run = start_plan(boat=world.boat, wishes=all_on(world), by=writer)
    page = text_of(client_for(technician).get(url("measure_first", run), headers=HTMX))
    assert "The feed carries no more than today&#x27;s 3 A" in page
    assert "No plan left" in page
    assert "Read the main fuse and the gauge of the feed." in page


def test_a_rough_way_is_tried_a_quarter_longer(
    world: World, writer: User, technician: User, client_for: ClientFor
) -> None:
    world.route.sureness = "low"
    world.route.feet = 17
    world.route.save()
    run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    page = text_of(client_for(technician).get(url("measure_first", run), headers=HTMX))
    assert "is 22 ft, a quarter more than noted" in page


@pytest.mark.parametrize("name", ["why", "tipping", "measure_first", "questions"])
def test_another_shop_never_sees_reasons(
    run: PlanRun, stranger: User, client_for: ClientFor, name: str
) -> None:
    assert client_for(stranger).get(url(name, run)).status_code == 404


@pytest.mark.parametrize("name", ["why", "tipping", "measure_first", "questions"])
@pytest.mark.parametrize("count", [1, 5])
def test_reasons_keep_their_queries(
    world: World,
    writer: User,
    client_for: ClientFor,
    django_assert_num_queries: Callable,
    name: str,
    count: int,
) -> None:
    for number in range(count):
        world.fit(f"s{number}", "sounder-s", networked=False)
    run = start_plan(boat=world.boat, wishes=world.wishes(), by=writer)
    client = client_for(writer)
    client.get(url(name, run))
    with django_assert_num_queries(3):
        client.get(url(name, run))


def test_a_statement_in_a_reason_opens_its_page(
    world: World, run: PlanRun, technician: User, stranger: User, client_for: ClientFor
) -> None:
    client = client_for(technician)
    link = reverse("planner:statement_called", args=["S-1"])
    assert link in text_of(client.get(url("run", run)))
    assert "Weir takes Plover 7 from 2.2" in text_of(client.get(link, follow=True))
    assert client_for(stranger).get(link).status_code == 404
    assert client.get(reverse("planner:statement_called", args=["S-77"])).status_code == 404


def test_a_plan_not_proven_says_how_far_it_may_be_from_the_best(
    world: World, run: PlanRun, technician: User, client_for: ClientFor
) -> None:
    gap = {"cheapest": {"proven": False, "bound": 1, "gap": 12300}}
    PlanRun.objects.filter(pk=run.pk).update(answer=run.answer | {"proven": False, "bounds": gap})
    assert "at most $123.00 cheaper" in text_of(client_for(technician).get(url("run", run)))
