"""Models on one page with their sheets: what is saved, what is refused beside its cell."""

import pytest
from django.urls import reverse

from shopapp.catalog.models import EquipmentModel
from shopapp.catalog.services.models import in_order
from tests.factories.boats import UnitFactory
from tests.factories.catalog import (
    EquipmentModelFactory,
    EquipmentPartFactory,
    FamilyFactory,
    LeadFactory,
    PartFactory,
    ReleaseFactory,
    SwitchFactory,
)
from tests.factories.planner import StatementFactory

pytestmark = pytest.mark.django_db
LIST = reverse("catalog:models")


def sheet(prefix, rows, initial=0):
    data = {f"{prefix}-TOTAL_FORMS": len(rows), f"{prefix}-INITIAL_FORMS": initial}
    for number, row in enumerate(rows):
        data |= {f"{prefix}-{number}-{key}": value for key, value in row.items()}
    return data


def typed(line, *, releases=(), updates=(), lights=(), successors=(), **facts):
    data = {
        "family": line.pk, "name": "Bench Nine", "code": "bench-9", "kind": "display",
        "generation": 1, "lifecycle": "current", "ports": 1, "draw_ma": 1500,
        "fit_minutes": 60, "remove_minutes": 30,
    } | facts  # fmt: skip
    data |= sheet("releases", releases) | sheet("updates", updates)
    return data | sheet("lights", lights) | sheet("successors", successors)


def step(old, new, minutes=20):
    return {"from_name": old, "to_name": new, "minutes": minutes, "means": "card"}


@pytest.fixture
def family(shop):
    return FamilyFactory(maker__shop=shop)


@pytest.fixture
def client(client_for, manager):
    return client_for(manager)


def row_errors(response, name):
    return [form.errors for form in getattr(response.context["sheets"], name).forms]


def test_model_is_added_with_its_sheets(client, family):
    after = EquipmentModelFactory(shop=family.maker.shop)
    data = typed(
        family,
        releases=[{"name": "1.0"}, {"name": "2.0", "ships": "on", "no_return": "on"}],
        updates=[step("1.0", "2.0", 35)],
        lights=[{"colour": "green", "pattern": "steady", "meaning": "Link is up"}],
        successors=[{"model": after.pk}],
    )
    response = client.post(reverse("catalog:model_add"), data)
    model = EquipmentModel.objects.get(code="bench-9")
    assert response.url == reverse("catalog:model", args=[model.pk])
    assert [(r.name, r.rank) for r in model.releases.all()] == [("1.0", 1), ("2.0", 2)]
    assert model.ships_with.name == "2.0"
    assert [(str(u), u.minutes) for u in model.updates.all()] == [("1.0 → 2.0", 35)]
    assert model.lights.get().meaning == "Link is up"
    assert list(model.successors.all()) == [after]
    assert "bench nine" in model.search


def test_edit_reorders_renames_and_strikes(client, family):
    model = EquipmentModelFactory(
        shop=family.maker.shop, family=family, releases=["1.0", "2.0", "3.0"],
        updates=[("1.0", "2.0", 20), ("2.0", "3.0", 20)],
    )  # fmt: skip
    one, two, three = model.releases.all()
    data = typed(
        family,
        code=model.code,
        releases=[
            {"pk": one.pk, "name": "1.0", "place": 3},
            {"pk": two.pk, "name": "2.0", "DELETE": "on"},
            {"pk": three.pk, "name": "3.1", "place": 2, "ships": "on"},
        ],
        updates=[step("1.0", "3.1")],
    )
    response = client.post(reverse("catalog:model_edit", args=[model.pk]), data)
    assert response.status_code == 302
    assert [(r.pk, r.name, r.rank) for r in model.releases.all()] == [
        (three.pk, "3.1", 1),
        (one.pk, "1.0", 2),
    ]
    assert [str(u) for u in model.updates.all()] == ["1.0 → 3.1"]


def test_edit_keeps_names_that_change_places(client, family):
    model = EquipmentModelFactory(shop=family.maker.shop, family=family, releases=["1.0", "2.0"])
    one, two = model.releases.all()
    rows = [{"pk": one.pk, "name": "2.0"}, {"pk": two.pk, "name": "1.0", "ships": "on"}]
    data = typed(family, code=model.code, releases=rows)
    assert client.post(reverse("catalog:model_edit", args=[model.pk]), data).status_code == 302
    assert list(model.releases.values_list("pk", "name")) == [(one.pk, "2.0"), (two.pk, "1.0")]


def test_release_that_the_model_never_had_is_refused_beside_its_cell(client, family):
    data = typed(family, releases=[{"name": "1.0", "ships": "on"}], updates=[step("1.0", "9.9")])
    response = client.post(reverse("catalog:model_add"), data)
    assert response.status_code == 422
    assert row_errors(response, "updates") == [
        {"to_name": ["This model never had 9.9: add it above, or mend this."]}
    ]
    assert b"9.9" in response.content
    assert not EquipmentModel.objects.exists()


@pytest.mark.parametrize(
    ("releases", "field", "words"),
    [
        ([{"name": "1.0"}], "ships", "Tick the one release"),
        ([{"name": "1.0", "ships": "on"}, {"name": "1.0"}], "name", "stands above"),
        ([{"name": "1.0", "ships": "on"}, {"name": "2", "ships": "on"}], "ships", "Only one"),
        ([{"name": "1.0", "ships": "on", "withdrawn": "on"}], "withdrawn", "cannot ship"),
    ],
)
def test_releases_must_hold_together(client, family, releases, field, words):
    response = client.post(reverse("catalog:model_add"), typed(family, releases=releases))
    assert response.status_code == 422
    assert words in str(row_errors(response, "releases")[-1][field])


def test_update_to_the_same_release_is_refused(client, family):
    data = typed(family, releases=[{"name": "1", "ships": "on"}], updates=[step("1", "1")])
    response = client.post(reverse("catalog:model_add"), data)
    assert "from one release to another" in str(row_errors(response, "updates"))


def test_one_light_has_one_meaning(client, family):
    light = {"colour": "Green", "pattern": "steady", "meaning": "Up"}
    data = typed(
        family, lights=[light, light | {"colour": "green"}, {"pattern": "flashing", "meaning": "x"}]
    )
    response = client.post(reverse("catalog:model_add"), data)
    first, second, third = row_errors(response, "lights")
    assert first == {}
    assert "one meaning" in str(second)
    assert "Which colour?" in str(third)


def test_release_that_units_stand_at_cannot_be_struck(client, family):
    model = EquipmentModelFactory(shop=family.maker.shop, family=family, releases=["1.0"])
    release = model.releases.get()
    UnitFactory(boat__shop=family.maker.shop, model=model, release=release)
    rows = [{"pk": release.pk, "name": "1.0", "ships": "on", "DELETE": "on"}]
    data = typed(family, code=model.code, releases=rows)
    response = client.post(reverse("catalog:model_edit", args=[model.pk]), data)
    assert row_errors(response, "releases") == [{"name": ["1.0 stays: 1 unit stands at it."]}]
    assert model.releases.exists()


def test_release_that_a_statement_asks_for_keeps_its_name(client, family, shop):
    model = EquipmentModelFactory(shop=shop, family=family, releases=["1.0"])
    StatementFactory(
        shop=shop, code="S-9", search=f" model:{model.code} ",
        rule={"at_most": 1, "of": {"models": [model.code], "min_release": {model.code: "1.0"}}},
    )  # fmt: skip
    rows = [{"pk": model.releases.get().pk, "name": "1.1", "ships": "on"}]
    url = reverse("catalog:model_edit", args=[model.pk])
    response = client.post(url, typed(family, code=model.code, releases=rows))
    words = "1.0 keeps its name: asked for by S-9."
    assert row_errors(response, "releases") == [{"name": [words]}]
    response = client.post(url, typed(family, code="other", releases=[]))
    assert "the code cannot change" in str(response.context["form"].errors["code"])


@pytest.mark.parametrize(
    ("facts", "field", "words"),
    [
        ({"kind": "switch"}, "bridges", "A switch passes traffic"),
        ({"volts_low": "30", "volts_high": "12"}, "volts_high", "cannot lie under"),
        ({"ports": "-1"}, "ports", "greater than or equal to 0"),
        ({"ports": "1000000000"}, "ports", "more than 64"),
        ({"draw_ma": "1000000000"}, "draw_ma", "400 A is the most"),
        ({"fuse_ma": "x"}, "fuse_ma", "whole number"),
        ({"code": "two words"}, "code", "letters, numbers"),
        ({"family": "999999"}, "family", "no longer there"),
    ],
)
def test_facts_that_cannot_be_right_are_refused_beside_their_field(
    client, family, facts, field, words
):
    response = client.post(reverse("catalog:model_add"), typed(family, **facts))
    assert response.status_code == 422
    assert words in str(response.context["form"].errors[field])


def test_code_is_free_among_models_and_part_numbers(client, family, shop):
    PartFactory(shop=shop, number="taken-1")
    EquipmentModelFactory(shop=shop, code="taken-2")
    for code, words in [("taken-1", "part number already"), ("taken-2", "Another model")]:
        response = client.post(reverse("catalog:model_add"), typed(family, code=code))
        assert words in str(response.context["form"].errors["code"])


def test_a_part_is_sold_as_one_model(client, family, shop):
    part = EquipmentPartFactory(shop=shop)
    EquipmentModelFactory(shop=shop, part=part, name="First")
    response = client.post(reverse("catalog:model_add"), typed(family, part=part.pk))
    assert "is what First is sold as" in str(response.context["form"].errors["part"])


def test_switch_is_no_successor_of_another_kind(client, family, shop):
    switch = SwitchFactory(shop=shop)
    data = typed(family, successors=[{"model": switch.pk}])
    response = client.post(reverse("catalog:model_add"), data)
    assert "never by a switch" in str(row_errors(response, "successors"))


def test_copy_brings_facts_and_sheets_but_no_names(client, shop):
    lead = LeadFactory(shop=shop)
    model = EquipmentModelFactory(shop=shop, lead=lead, releases=["1.0"], draw_ma=4321)
    page = client.get(f"{reverse('catalog:model_add')}?like={model.pk}")
    assert page.context["form"]["draw_ma"].value() == 4321
    assert page.context["form"]["code"].value() == ""
    assert page.context["form"]["part"].value() is None
    first = page.context["sheets"].releases.forms[0]
    assert (first["name"].value(), first["pk"].value()) == ("1.0", None)


def test_rows_without_a_place_keep_behind_the_row_above():
    rows = [
        {"name": "a", "place": 1},
        {"name": "b"},
        {"name": "c", "place": 2},
        {"name": "d", "place": 1.5},
    ]
    assert [row["name"] for row in in_order(rows)] == ["a", "b", "d", "c"]


def test_release_of_another_model_is_not_taken_over(client, family):
    other = ReleaseFactory(name="8.8")
    rows = [{"pk": other.pk, "name": "1.0", "ships": "on"}]
    client.post(reverse("catalog:model_add"), typed(family, releases=rows))
    other.refresh_from_db()
    assert other.name == "8.8"
    assert EquipmentModel.objects.get(code="bench-9").releases.get().pk != other.pk


def test_every_change_of_the_sheets_is_kept(client, family):
    releases = [{"name": "1.0"}, {"name": "2.0", "ships": "on"}]
    data = typed(family, releases=releases, updates=[step("1.0", "2.0", 20)])
    client.post(reverse("catalog:model_add"), data)
    model = EquipmentModel.objects.get(code="bench-9")
    rows = [{"pk": r.pk, "name": r.name, "ships": r.name == "2.0"} for r in model.releases.all()]
    rows[0]["withdrawn"] = "on"
    rows[0].pop("ships")
    data = typed(family, releases=rows, updates=[step("1.0", "2.0", 35)])
    client.post(reverse("catalog:model_edit", args=[model.pk]), data)
    response = client.get(reverse("catalog:model_changes", args=[model.pk]))
    found = {change.what: change for change in response.context["changes"]}
    assert found["Changed update 1.0 → 2.0"].fields == [("Minutes", "20", "35")]
    assert found["Changed release 1.0"].fields == [("Withdrawn", "no", "yes")]
    assert found["Added release 2.0"].who == "Mona Reed"
