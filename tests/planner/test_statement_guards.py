"""A change of the catalogue leaves the statements in force true."""

import pytest

from planner.statements.search import words_of_statement
from shopapp.catalog.models import EquipmentModel, Kind
from shopapp.catalog.services.models import save_model
from shopapp.errors import FactRefused
from tests.factories.catalog import EquipmentModelFactory, FamilyFactory
from tests.factories.planner import StatementFactory

pytestmark = pytest.mark.django_db


def stated(shop, code, rule, **facts):
    row = StatementFactory(shop=shop, code=code, rule=rule, **facts)
    row.search = words_of_statement(row)
    row.save()


def kept(model, *names):
    releases = [
        {
            "name": name, "ships": name == names[-1], "withdrawn": False, "no_return": False,
            "released_on": None, "note": "",
        }
        for name in names
    ]  # fmt: skip
    sheets = {"updates": [], "lights": [], "successors": []}
    return save_model(model=model, releases=releases, **sheets)


def test_model_named_by_a_statement_keeps_its_kind(shop):
    model = EquipmentModelFactory(shop=shop, code="halo")
    rule = {"at_most": 1, "of": {"kinds": ["display"], "models": ["halo"]}}
    stated(shop, "S-1", rule)
    model.kind = Kind.RADAR
    with pytest.raises(FactRefused, match=r"S-1 speaks of it: .* is a radar"):
        kept(model)
    assert EquipmentModel.objects.get().kind == Kind.DISPLAY


def test_retired_statement_holds_nobody(shop):
    model = EquipmentModelFactory(shop=shop, code="halo")
    rule = {"at_most": 1, "of": {"kinds": ["display"], "models": ["halo"]}}
    stated(shop, "S-1", rule, retired_at="2026-01-01T00:00Z")
    model.kind = Kind.RADAR
    assert kept(model).kind == Kind.RADAR


def test_model_that_would_close_a_circle_of_updates_is_refused_whole(shop):
    stated(shop, "S-1", {"before": {"kinds": ["display"]}, "then": {"kinds": ["sounder"]}})
    stated(shop, "S-2", {"before": {"kinds": ["sounder"]}, "then": {"kinds": ["display"]}})
    EquipmentModelFactory(shop=shop, name="Halo", releases=["1.0"])
    sounder = EquipmentModel(
        shop=shop, family=FamilyFactory(maker__shop=shop), code="sonar", name="Sonar",
        kind=Kind.SOUNDER, fit_minutes=1, remove_minutes=1, draw_ma=1,
    )  # fmt: skip
    with pytest.raises(FactRefused, match="Halo, before Sonar, before Halo"):
        kept(sounder, "1.0")
    assert not EquipmentModel.objects.filter(code="sonar").exists()
