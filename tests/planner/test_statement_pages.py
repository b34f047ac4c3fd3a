"""Statements: lists, page, the form that puts a rule together."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from planner.models import Statement
from planner.statements.search import words_of_statement
from planner.statements.services import next_code
from shopapp.ui.pick import pick_of
from tests.factories.catalog import EquipmentModelFactory, SwitchFactory
from tests.factories.planner import StatementFactory

pytestmark = pytest.mark.django_db
LIST = reverse("planner:statements")
ADD = reverse("planner:statement_add")


@pytest.fixture
def client(client_for, manager):
    return client_for(manager)


@pytest.fixture
def halo(shop):
    return EquipmentModelFactory(shop=shop, code="halo", name="Halo 9", releases=["1.0", "2.0"])


def stated(**facts):
    row = StatementFactory(**facts)
    row.search = words_of_statement(row)
    row.save()
    return row


def slot(key, *, kinds=(), models=()):
    data = {f"{key}-kinds": list(kinds), f"{key}-scope": "named" if models else "any"}
    data |= {f"{key}-models-TOTAL_FORMS": len(models), f"{key}-models-INITIAL_FORMS": 0}
    for number, (model, release) in enumerate(models):
        data[f"{key}-models-{number}-model"] = model
        data[f"{key}-models-{number}-release"] = release
    return data


def typed(a=None, b=None, w=None, **facts):
    data = {
        "code": "S-100", "text": "As the guide says.", "verb": "at_most", "count": "4",
        "source": "Install guide", "source_kind": "guide", "seen": "2026-11-01",
        "confidence": "high",
    } | facts  # fmt: skip
    return data | slot("a", **(a or {})) | slot("b", **(b or {})) | slot("w", **(w or {}))


def shown(response):
    return [row.code for row in response.context["page"]]


def part_errors(response, key):
    part = response.context["form"].parts[key]
    return str(part.form.errors) + str([row.errors for row in part.sheet.forms])


def test_list_shows_those_in_force_and_the_others_apart(client, shop):
    old = stated(shop=shop, code="S-1")
    stated(shop=shop, code="S-2", supersedes=old)
    stated(shop=shop, code="S-3", retired_at=timezone.now())
    stated(code="S-4")
    assert shown(client.get(LIST)) == ["S-2"]
    assert shown(client.get(LIST, {"state": "superseded"})) == ["S-1"]
    assert shown(client.get(LIST, {"state": "retired"})) == ["S-3"]


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("q=four+displays", ["S-1"]),
        ("rule=same_release", ["S-2"]),
        ("rule=nonsense", ["S-1", "S-2", "S-3"]),
        ("kind=radar", ["S-3"]),
        ("model=halo", ["S-1", "S-2"]),
        ("model=unknown", []),
        ("confidence=low", ["S-3"]),
        ("age=soft", ["S-2"]),
        ("age=fresh", ["S-1", "S-3"]),
    ],
)
def test_list_is_narrowed_by_words_and_filters(client, shop, halo, query, expected):
    today = timezone.localdate()
    stated(shop=shop, code="S-1", seen=today)
    rule = {"same_release": {"models": ["halo"]}}
    stated(shop=shop, code="S-2", rule=rule, seen=today - timedelta(days=200), text="One release.")
    stated(
        shop=shop, code="S-3", rule={"at_most": 1, "of": {"kinds": ["radar"]}},
        seen=today - timedelta(days=200), confidence="low", text="One radar.",
    )  # fmt: skip
    assert shown(client.get(f"{LIST}?{query}")) == expected


@pytest.mark.parametrize("rows", [1, 3])
def test_list_asks_the_same_number_of_queries(client, shop, rows, django_assert_num_queries):
    for _ in range(rows):
        stated(shop=shop)
    client.get(LIST)
    with django_assert_num_queries(4):
        client.get(LIST)


def test_page_tells_the_rule_in_words_and_as_fields(client, shop, halo, manager):
    row = stated(
        shop=shop, rule={"only": {"models": ["halo"], "min_release": {"halo": "2.0"}},
        "of": {"kinds": ["display"]}}, page="12", entered_by=manager,
    )  # fmt: skip
    page = client.get(reverse("planner:statement", args=[row.pk])).content.decode()
    assert "only units of model Halo 9 at 2.0 or later" in page
    assert "Halo 9: 2.0" in page
    assert "page 12" in page
    assert "Mona Reed" in page


def test_page_softens_what_nobody_checked(client, shop):
    row = stated(shop=shop, seen=timezone.localdate() - timedelta(days=400))
    page = client.get(reverse("planner:statement", args=[row.pk])).content.decode()
    assert "Medium" in page
    assert "was high, not checked since" in page


def test_page_shows_the_chain_of_supersession(client, shop):
    first = stated(shop=shop, code="S-1")
    second = stated(shop=shop, code="S-2", supersedes=first)
    stated(shop=shop, code="S-3", supersedes=second)
    response = client.get(reverse("planner:statement", args=[second.pk]))
    assert [row.code for row in response.context["chain"]] == ["S-3", "S-2", "S-1"]
    assert "Superseded by" in response.content.decode()


def test_statement_is_put_together_without_typing_code(client, manager, halo, shop):
    switch = SwitchFactory(shop=shop, code="s5")
    data = typed(
        a={"kinds": ["display"]},
        b={"models": [(halo.pk, "2.0")]},
        w={"models": [(switch.pk, "")]},
        verb="only",
        text="",
    )
    response = client.post(ADD, data)
    row = Statement.objects.get()
    assert response.url == reverse("planner:statement", args=[row.pk])
    assert row.rule == {
        "of": {"kinds": ["display"]},
        "only": {"models": ["halo"], "min_release": {"halo": "2.0"}},
        "when": {"models": ["s5"]},
    }
    assert row.text.startswith("Where the network has any unit of model")
    assert row.entered_by == manager
    assert shown(client.get(LIST, {"model": "s5"})) == ["S-100"]


@pytest.mark.parametrize(
    ("verb", "rule"),
    [
        ("at_most", {"at_most": 4, "of": {"kinds": ["display"]}}),
        ("at_least", {"at_least": 4, "of": {"kinds": ["display"]}}),
        ("same_release", {"same_release": {"kinds": ["display"]}}),
        ("before", {"before": {"kinds": ["display"]}, "then": {"kinds": ["radar"]}}),
    ],
)
def test_each_kind_of_rule_keeps_only_its_own_parts(client, verb, rule):
    data = typed(a={"kinds": ["display"]}, b={"kinds": ["radar"]}, verb=verb)
    client.post(ADD, data)
    assert Statement.objects.get().rule == rule


def test_least_release_without_naming_models(client, halo):
    data = typed(a={"kinds": ["display"], "models": [(halo.pk, "2.0")]}) | {"a-scope": "any"}
    client.post(ADD, data)
    expected = {"kinds": ["display"], "min_release": {"halo": "2.0"}}
    assert Statement.objects.get().rule["of"] == expected


def test_release_that_the_model_never_had_is_refused_beside_its_cell(client, halo):
    response = client.post(ADD, typed(a={"models": [(halo.pk, "9.9")]}))
    assert response.status_code == 422
    assert "Halo 9 never had 9.9. It has 1.0, 2.0." in part_errors(response, "a")
    assert b"9.9" in response.content
    assert not Statement.objects.exists()


def test_model_outside_the_kinds_is_refused_beside_its_cell(client, halo):
    data = typed(a={"kinds": ["radar"], "models": [(halo.pk, "")]})
    assert "which is not ticked here" in part_errors(client.post(ADD, data), "a")


@pytest.mark.parametrize(
    ("facts", "field", "words"),
    [
        ({"count": "-1"}, "count", "greater than or equal to 0"),
        ({"count": ""}, "count", "Write how many"),
        ({"count": "1000000000"}, "count", "1000"),
        ({"verb": "at_least", "count": "0"}, "count", "say nothing"),
        ({"verb": "never"}, "verb", "Pick one from the list"),
        ({"seen": "2999-01-01"}, "seen", "still to come"),
        ({"code": "max_new"}, "code", "means something else"),
        ({"code": "s-7"}, "code", "Another statement"),
    ],
)
def test_facts_that_cannot_be_right_are_refused(client, shop, facts, field, words):
    stated(shop=shop, code="S-7", rule={"at_most": 9, "of": {"kinds": ["camera"]}})
    response = client.post(ADD, typed(a={"kinds": ["display"]}, **facts))
    assert response.status_code == 422
    assert words in str(response.context["form"].errors[field])
    assert Statement.objects.count() == 1


def test_parts_that_say_nothing_are_refused(client, halo):
    data = typed() | {"a-scope": "named"}
    assert "List the models below" in part_errors(client.post(ADD, data), "a")
    data = typed(a={"models": [(halo.pk, "")]}) | {"a-scope": "any"}
    assert "from which release on" in part_errors(client.post(ADD, data), "a")


def test_only_that_can_never_be_is_refused(client):
    data = typed(a={"kinds": ["display"]}, b={"kinds": ["radar"]}, verb="only")
    assert "write at most 0" in part_errors(client.post(ADD, data), "b")


def test_circle_with_an_order_in_force_is_refused(client, shop, halo):
    EquipmentModelFactory(shop=shop, code="sonar", name="Sonar", kind="sounder", releases=["1"])
    stated(shop=shop, rule={"before": {"kinds": ["sounder"]}, "then": {"kinds": ["display"]}})
    data = typed(a={"models": [(halo.pk, "")]}, b={"kinds": ["sounder"]}, verb="before")
    response = client.post(ADD, data)
    assert response.status_code == 422
    assert "Halo 9, before Sonar, before Halo 9" in part_errors(response, "b")


def test_clash_is_named_and_kept_only_with_open_eyes(client, shop):
    stated(shop=shop, code="S-1", rule={"at_least": 5, "of": {"kinds": ["display"]}})
    data = typed(a={"kinds": ["display"]})
    response = client.post(ADD, data)
    assert response.status_code == 422
    assert "S-1 asks for at least 5 of these" in response.content.decode()
    assert Statement.objects.count() == 1
    assert client.post(ADD, data | {"accept": "on"}).status_code == 302
    assert Statement.objects.count() == 2


def test_mended_statement_keeps_who_entered_it(client, shop, writer):
    row = stated(shop=shop, code="S-5", entered_by=writer)
    url = reverse("planner:statement_edit", args=[row.pk])
    client.post(url, typed(a={"kinds": ["radar"]}, code="S-5"))
    row.refresh_from_db()
    assert row.rule["of"] == {"kinds": ["radar"]}
    assert row.entered_by == writer
    assert "Mona Reed" in client.get(reverse("planner:statement", args=[row.pk])).content.decode()


def test_statement_is_retired_and_brought_back(client, shop):
    row = stated(shop=shop)
    url = reverse("planner:statement_retire", args=[row.pk])
    client.post(url, {"retired": "yes"})
    assert shown(client.get(LIST)) == []
    client.post(url, {"retired": "no"})
    assert shown(client.get(LIST)) == [row.code]


def test_statement_that_no_longer_holds_together_stays_retired(client, shop, halo):
    rule = {"at_most": 1, "of": {"models": ["gone"]}}
    row = stated(shop=shop, rule=rule, retired_at=timezone.now())
    url = reverse("planner:statement_retire", args=[row.pk])
    response = client.post(url, {"retired": "no"})
    assert response.status_code == 409
    assert "no model gone" in response.content.decode()


def test_numbers_go_on_in_their_form(shop):
    assert next_code(shop) == "S-001"
    StatementFactory(shop=shop, code="R-009")
    StatementFactory(shop=shop, code="plain")
    assert next_code(shop) == "R-010"


def test_statements_in_force_are_offered(rf, manager, shop):
    old = stated(shop=shop, code="S-1")
    row = stated(shop=shop, code="S-2", supersedes=old)
    request = rf.get("/")
    request.user = manager
    pick = pick_of("statements")
    assert pick.options(request, "displays") == [(row.pk, "S-2", row.text)]
    assert pick.label_of(request, str(old.pk)) == "S-1"
    assert pick.row_of(request, str(stated().pk)) is None


@pytest.mark.parametrize("who", ["technician", "writer", "parts_person"])
def test_others_see_but_do_not_edit(client_for, request, shop, who):
    client = client_for(request.getfixturevalue(who))
    row = stated(shop=shop)
    assert client.get(LIST).status_code == 200
    assert client.get(reverse("planner:statement", args=[row.pk])).status_code == 200
    assert client.get(ADD).status_code == 403
    for name in ("statement_edit", "statement_supersede", "statement_retire"):
        assert client.post(reverse(f"planner:{name}", args=[row.pk])).status_code == 403


def test_stranger_finds_nothing(client_for, stranger, shop):
    client = client_for(stranger)
    row = stated(shop=shop)
    for name in ("statement", "statement_edit", "statement_supersede"):
        assert client.get(reverse(f"planner:{name}", args=[row.pk])).status_code == 404
    url = reverse("planner:statement_retire", args=[row.pk])
    assert client.post(url).status_code == 404
