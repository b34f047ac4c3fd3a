"""Statements that take the place of others."""

import pytest
from django.urls import reverse
from django.utils import timezone

from planner.statements.search import words_of_statement
from planner.statements.services import save_statement
from shopapp.errors import FactRefused
from tests.factories.catalog import EquipmentModelFactory
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


def test_new_statement_supersedes_the_old_one_and_begins_from_its_rule(client, shop):
    old = stated(shop=shop, code="S-007")
    url = reverse("planner:statement_supersede", args=[old.pk])
    form = client.get(url).context["form"]
    assert (form["code"].value(), form["count"].value()) == ("S-008", 4)
    assert form.parts["a"].form["kinds"].value() == ["display"]
    data = typed(a={"kinds": ["display"]}, count="5", code="S-008", supersedes=old.pk)
    assert client.post(url, data).status_code == 302
    assert shown(client.get(LIST)) == ["S-008"]
    old.refresh_from_db()
    assert old.superseded_by.code == "S-008"


def test_superseded_or_retired_is_neither_mended_nor_superseded_again(client, shop):
    old = stated(shop=shop, code="S-1")
    stated(shop=shop, code="S-2", supersedes=old)
    gone = stated(shop=shop, code="S-3", retired_at=timezone.now())
    for row, words in [(old, "superseded by S-2"), (gone, "S-3 is retired")]:
        for name in ("statement_edit", "statement_supersede"):
            response = client.get(reverse(f"planner:{name}", args=[row.pk]))
            assert response.status_code == 409
            assert words in response.content.decode()


def test_supersession_names_one_that_is_in_force(client, shop):
    old = stated(shop=shop, code="S-1")
    stated(shop=shop, code="S-2", supersedes=old)
    response = client.post(ADD, typed(a={"kinds": ["radar"]}, supersedes=old.pk))
    words = "S-1 is superseded by S-2 already."
    assert words in str(response.context["form"].errors["supersedes"])


def test_supersession_never_runs_in_a_circle(manager, shop):
    first = stated(shop=shop, code="S-1")
    second = stated(shop=shop, code="S-2", supersedes=first)
    first.supersedes = second
    with pytest.raises(FactRefused, match="S-2 itself supersedes S-1"):
        save_statement(statement=first, by=manager)


def test_retired_one_is_not_superseded(manager, shop):
    gone = stated(shop=shop, code="S-1", retired_at=timezone.now())
    fresh = StatementFactory.build(shop=shop, supersedes=gone)
    with pytest.raises(FactRefused, match="S-1 is retired"):
        save_statement(statement=fresh, by=manager)
