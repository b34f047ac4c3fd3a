"""Pages of plans: the form of wishes, the options, the clash, what changed."""

from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from planner import services
from planner.models import PlanRun, Statement
from planner.services import plan_again, start_plan
from shopapp.accounts.models import Shop, User
from shopapp.catalog.models import EquipmentModel
from shopapp.work.models import RowState
from tests.factories.planner import StatementFactory
from tests.planner.worlds import World, add, two_displays

pytestmark = pytest.mark.django_db
ClientFor = Callable[[User], Client]
ROW = ("kind", "unit", "model", "location", "networked")


@pytest.fixture
def world(shop: Shop) -> World:
    return two_displays(shop)


def sent(*rows: dict[str, str], **switches: object) -> dict[str, object]:
    """What the browser sends for these rows."""
    data: dict[str, object] = {
        "wish-TOTAL_FORMS": len(rows),
        "wish-INITIAL_FORMS": 0,
        "switches-models": ["switch-b"],
        "switches-locations": ["console", "bow"],
        "switches-max_new": 2,
    }
    for number, row in enumerate(rows):
        data |= {f"wish-{number}-{name}": value for name, value in row.items()}
    return data | {f"switches-{name}": value for name, value in switches.items()}


ADD = {"kind": "add", "model": "display-r", "location": "bow", "networked": "on"}


def wish_url(world: World) -> str:
    return reverse("planner:wish", args=[world.boat.pk])


def text_of(response: object) -> str:
    return response.content.decode()


def test_wishes_are_planned_and_shown(world: World, writer: User, client_for: ClientFor) -> None:
    client = client_for(writer)
    response = client.post(wish_url(world), sent(ADD))
    run = PlanRun.objects.get()
    assert response.url == reverse("planner:run", args=[run.pk])
    assert run.wishes["requests"] == [
        {
            "id": "wish-1",
            "kind": "add",
            "models": ["display-r"],
            "location": "bow",
            "networked": True,
        }
    ]
    page = text_of(client.get(response.url))
    assert "Add Plover 9 at bow, on the network" in page
    assert "Weir 5" in page
    assert "Make a quote" in page


def test_any_that_fits_is_kept_as_a_kind(world: World, writer: User, client_for: ClientFor) -> None:
    row = ADD | {"model": "any:display"}
    client_for(writer).post(wish_url(world), sent(row))
    wish = PlanRun.objects.get().wishes["requests"][0]
    assert wish["models"] == []
    assert wish["kind_wanted"] == "display"


def test_without_a_wish_the_boat_is_put_right(
    world: World, writer: User, client_for: ClientFor
) -> None:
    client = client_for(writer)
    response = client.post(wish_url(world), sent({"kind": "", "networked": "on"}))
    page = text_of(client.get(response.url))
    assert "what is aboard is put right" in page


def test_several_wishes_are_kept_in_order(
    world: World, writer: User, client_for: ClientFor
) -> None:
    client_for(writer).post(
        wish_url(world), sent({"kind": "keep", "unit": "d2"}, {"kind": ""}, ADD)
    )
    wishes = PlanRun.objects.get().wishes["requests"]
    assert [(wish["id"], wish["kind"]) for wish in wishes] == [
        ("wish-1", "keep"),
        ("wish-2", "add"),
    ]


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([{"kind": "keep"}], "Choose the unit aboard."),
        ([{"kind": "keep", "unit": "ghost"}], "Pick one from the list."),
        ([ADD | {"location": "mast"}], "Pick one from the list."),
        ([ADD | {"location": ""}], "Choose where it goes."),
        ([ADD | {"model": ""}], "Pick a model, or any that fits."),
        ([ADD | {"model": "far-away"}], "That one is no longer there."),
        (
            [{"kind": "replace", "unit": "d2", "model": "display-r"}],
            "d2 is a Plover 9 already.",
        ),
        (
            [{"kind": "keep", "unit": "d1"}, {"kind": "remove", "unit": "d1"}],
            "d1 is both kept and taken out.",
        ),
        (
            [{"kind": "keep", "unit": "d1"}, {"kind": "keep", "unit": "d1"}],
            "d1 has this wish already.",
        ),
        ([{"unit": "d1"}], "Choose what is wished."),
    ],
)
def test_a_wish_that_cannot_be_is_told_beside_its_field(
    world: World, writer: User, client_for: ClientFor, rows: list[dict], words: str
) -> None:
    response = client_for(writer).post(wish_url(world), sent(*rows))
    assert response.status_code == 422
    assert words in text_of(response)
    assert not PlanRun.objects.exists()


def test_too_many_new_switches_are_refused(
    world: World, writer: User, client_for: ClientFor
) -> None:
    response = client_for(writer).post(wish_url(world), sent(ADD, max_new=50))
    assert response.status_code == 422
    assert "less than or equal to 9" in text_of(response)


def test_the_wishes_of_a_plan_come_back_to_be_changed(
    world: World, writer: User, client_for: ClientFor
) -> None:
    run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    page = text_of(client_for(writer).get(wish_url(world), {"from": run.pk}))
    assert 'value="display-r"' in page
    assert 'value="Plover 9"' in page


def test_a_wish_for_one_of_several_models_keeps_them_all(
    world: World, writer: User, client_for: ClientFor
) -> None:
    wish = add() | {"models": ["display-q", "display-r"]}
    run = start_plan(boat=world.boat, wishes=world.wishes(wish), by=writer)
    client = client_for(writer)
    assert 'value="Plover 7 or Plover 9"' in text_of(client.get(wish_url(world), {"from": run.pk}))
    client.post(wish_url(world), sent(ADD | {"model": "display-q|display-r"}))
    fresh = PlanRun.objects.latest("pk")
    assert fresh.wishes["requests"][0]["models"] == ["display-q", "display-r"]


def test_each_option_can_be_drawn(world: World, writer: User, client_for: ClientFor) -> None:
    run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    client = client_for(writer)
    url = reverse("planner:run", args=[run.pk])
    assert "Before and after: Option 1" in text_of(client.get(url))
    assert "Before and after: Option 2" in text_of(client.get(url, {"option": 2}))
    assert "Before and after: Option 1" in text_of(client.get(url, {"option": "x"}))


def test_a_verdict_opens_into_statement_source_date_and_units(
    world: World, writer: User, client_for: ClientFor
) -> None:
    run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    page = text_of(client_for(writer).get(reverse("planner:run", args=[run.pk])))
    assert "S-1: Weir takes Plover 7 from 2.2 and Plover 9." in page
    assert "Install guide, invented for tests" in page
    assert "Works with part" in page


def test_an_old_plan_shows_what_was_known_then(
    world: World, writer: User, client_for: ClientFor
) -> None:
    run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    EquipmentModel.objects.filter(code="display-r").update(
        name="Renamed", retired_at=timezone.now()
    )
    Statement.objects.filter(code="S-1").update(text="Says otherwise now.")
    world.units["d2"].release = None
    world.units["d2"].save()
    page = text_of(client_for(writer).get(reverse("planner:run", args=[run.pk])))
    assert "Plover 9" in page
    assert "Renamed" not in page
    assert "Says otherwise now." not in page


def impossible(world: World, writer: User) -> PlanRun:
    StatementFactory(
        shop=world.shop, code="S-50", rule={"at_most": 2, "of": {"kinds": ["display"]}}
    )
    keep = [{"kind": "network", "device": name} for name in ("d1", "d2")]
    return start_plan(boat=world.boat, wishes=world.wishes(add(), *keep), by=writer)


def test_an_impossible_wish_shows_the_clash_and_a_button_for_each_way_out(
    world: World, writer: User, client_for: ClientFor
) -> None:
    run = impossible(world, writer)
    page = text_of(client_for(writer).get(reverse("planner:run", args=[run.pk])))
    assert "Does not work" in page
    assert "S-50: At most four displays on one network." in page
    assert page.count('name="drop"') == 3
    assert "Statements and the feed are facts, not wishes" in page
    assert "Make a quote" not in page


def test_a_way_out_plans_again_without_that_wish(
    world: World, writer: User, client_for: ClientFor
) -> None:
    run = impossible(world, writer)
    response = client_for(writer).post(reverse("planner:again", args=[run.pk]), {"drop": "wish-1"})
    fresh = PlanRun.objects.latest("pk")
    assert response.url == reverse("planner:run", args=[fresh.pk])
    assert fresh.again_of == run
    assert fresh.feasible


def test_dropping_a_statement_is_refused(world: World, writer: User, client_for: ClientFor) -> None:
    run = impossible(world, writer)
    response = client_for(writer).post(reverse("planner:again", args=[run.pk]), {"drop": "S-50"})
    assert response.status_code == 422
    assert PlanRun.objects.count() == 1


def test_a_plan_on_its_way_is_polled_and_can_be_stopped(
    world: World, writer: User, client_for: ClientFor, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(services, "IN_REQUEST_SECONDS", -1.0)
    run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    client = client_for(writer)
    page = text_of(client.get(reverse("planner:run", args=[run.pk])))
    assert reverse("planner:run_state", args=[run.pk]) in page
    assert "Waiting for the worker" in page
    client.post(reverse("planner:stop", args=[run.pk]))
    run.refresh_from_db()
    assert run.row_state == RowState.FAILED
    assert run.reason == "Stopped by Wanda Pell."
    state = client.get(reverse("planner:run_state", args=[run.pk]))
    assert state.headers["HX-Refresh"] == "true"


def test_a_stopped_plan_can_be_tried_again(
    world: World, writer: User, client_for: ClientFor, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as hurried:
        hurried.setattr(services, "IN_REQUEST_SECONDS", -1.0)
        run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    client = client_for(writer)
    client.post(reverse("planner:stop", args=[run.pk]))
    client.post(reverse("planner:retry", args=[run.pk]))
    run.refresh_from_db()
    assert run.row_state == RowState.READY


def test_a_plan_not_proven_says_so(world: World, writer: User, client_for: ClientFor) -> None:
    run = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    PlanRun.objects.filter(pk=run.pk).update(answer=run.answer | {"proven": False})
    page = text_of(client_for(writer).get(reverse("planner:run", args=[run.pk])))
    assert "Not proven best." in page


def test_what_changed_is_told_in_words(world: World, writer: User, client_for: ClientFor) -> None:
    first = start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    world.route.feet = 12
    world.route.save()
    part = world.models["display-r"].part
    part.price_cents = 160000
    part.save()
    client = client_for(writer)
    page = text_of(client.get(reverse("planner:changes_since", args=[first.pk])))
    assert "14 ft" in page
    assert "12 ft" in page
    assert "$1,600.00" in page
    second = plan_again(run=first, by=writer)
    page = text_of(client.get(reverse("planner:changes", args=[second.pk])))
    assert "Cheapest" in page
    page = text_of(client.get(reverse("planner:changes_since", args=[second.pk])))
    assert "the records still stand as this plan knew them" in page


def test_a_wish_that_can_no_longer_be_read_is_told(
    world: World, writer: User, client_for: ClientFor
) -> None:
    wish = {"kind": "keep", "device": "d1"}
    run = start_plan(boat=world.boat, wishes=world.wishes(wish), by=writer)
    world.units["d1"].state = "removed"
    world.units["d1"].save()
    client = client_for(writer)
    page = text_of(client.get(reverse("planner:changes_since", args=[run.pk])))
    assert "d1 is no longer aboard." in page
    assert client.post(reverse("planner:again", args=[run.pk])).status_code == 422


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_of_plans_keeps_its_queries(
    world: World,
    writer: User,
    client_for: ClientFor,
    django_assert_num_queries: Callable,
    count: int,
) -> None:
    for _ in range(count):
        start_plan(boat=world.boat, wishes=world.wishes(add()), by=writer)
    client = client_for(writer)
    client.get(reverse("planner:plans", args=[world.boat.pk]))
    with django_assert_num_queries(LIST_QUERIES):
        page = text_of(client.get(reverse("planner:plans", args=[world.boat.pk])))
    assert page.count("Options found") == count


@pytest.mark.parametrize("count", [1, 12])
def test_the_page_of_a_plan_keeps_its_queries(
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
    client.get(reverse("planner:run", args=[run.pk]))
    with django_assert_num_queries(RUN_QUERIES):
        client.get(reverse("planner:run", args=[run.pk]))


LIST_QUERIES = 4
RUN_QUERIES = 15  # the checks of every option read the boat once


@pytest.mark.parametrize("name", ["run", "changes", "changes_since", "run_state"])
def test_another_shop_never_sees_a_plan(
    world: World, writer: User, stranger: User, client_for: ClientFor, name: str
) -> None:
    run = start_plan(boat=world.boat, wishes=world.wishes(), by=writer)
    response = client_for(stranger).get(reverse(f"planner:{name}", args=[run.pk]))
    assert response.status_code == 404


@pytest.mark.parametrize("name", ["again", "retry", "stop"])
def test_a_technician_sees_plans_and_makes_none(
    world: World, writer: User, technician: User, client_for: ClientFor, name: str
) -> None:
    run = start_plan(boat=world.boat, wishes=world.wishes(), by=writer)
    client = client_for(technician)
    assert client.get(reverse("planner:run", args=[run.pk])).status_code == 200
    assert client.post(reverse(f"planner:{name}", args=[run.pk])).status_code == 403
    assert client.get(wish_url(world)).status_code == 403


def test_another_shops_boat_cannot_be_planned(
    world: World, stranger: User, client_for: ClientFor
) -> None:
    client = client_for(stranger)
    assert client.post(wish_url(world), sent(ADD)).status_code == 404
    assert client.get(reverse("planner:plans", args=[world.boat.pk])).status_code == 404


def test_an_enquiry_goes_along_from_the_wishes_to_the_quote(
    world: World, writer: User, client_for: ClientFor
) -> None:
    client = client_for(writer)
    response = client.post(f"{wish_url(world)}?enquiry=77", sent(ADD))
    assert PlanRun.objects.get().wishes["enquiry"] == 77
    assert '<input type="hidden" name="enquiry" value="77">' in text_of(client.get(response.url))
