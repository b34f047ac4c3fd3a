"""The demo: an invented shop, the same for the same seed, in every state."""

from datetime import date

import pytest
from django.core.management import CommandError, call_command

from planner.engine import answer_case
from planner.loaders import build_case
from planner.models import Statement
from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat, Unit
from shopapp.catalog.models import EquipmentModel, Maker
from shopapp.jobs.models import Job, Problem, Quote
from shopapp.roles import Role

DAY = date(2026, 6, 1)
pytestmark = pytest.mark.django_db


def make(**options):
    call_command("demo", **({"boats": 60, "seed": 1, "as_of": DAY, "verbosity": 0} | options))


def facts():
    """What must be the same for the same seed."""
    return (
        list(Boat.objects.order_by("pk").values_list("name", "hull_number", "length_ft")),
        list(Unit.objects.order_by("pk").values_list("name", "model__code", "release__name")),
        list(Quote.objects.order_by("pk").values_list("number", "state", "title")),
        list(Job.objects.order_by("pk").values_list("number", "state", "title")),
    )


def test_the_demo_holds_what_it_promises():
    make()
    assert Boat.objects.count() == 60
    assert (EquipmentModel.objects.count(), Maker.objects.count()) == (40, 5)
    assert Statement.objects.count() == 120
    assert Statement.objects.in_force().count() == 110
    assert set(User.objects.values_list("role", flat=True)) == set(Role.values)
    assert set(Job.objects.values_list("state", flat=True)) == set(Job.State.values)
    assert set(Quote.objects.values_list("state", flat=True)) == set(Quote.State.values)
    opened = Job.objects.dates("opened_at", "month")
    assert (opened[len(opened) - 1] - opened[0]).days > 600
    recurring = Problem.objects.filter(model__code="sweep-18", symptom="no_radar")
    assert recurring.values("boat").distinct().count() >= 3


def test_every_boat_of_the_demo_can_be_planned():
    make(boats=25, seed=2)
    wishes = {"requests": [], "switches": {"models": [], "locations": [], "max_new": 0}}
    for boat in Boat.objects.order_by("pk"):
        assert answer_case(build_case(boat=boat, wishes=wishes).case)["feasible"], boat


def test_a_shop_that_is_there_is_left_alone():
    make(boats=2)
    make(boats=5, if_empty=True)
    assert Boat.objects.count() == 2
    with pytest.raises(CommandError, match="only fills an empty database"):
        make()


@pytest.mark.parametrize("boats", [0, -3, 2_000_000])
def test_a_number_of_boats_that_makes_no_sense_is_refused(boats):
    with pytest.raises(CommandError, match="--boats"):
        make(boats=boats)
    assert not Shop.objects.exists()


def test_the_demo_is_not_made_in_production(settings):
    settings.PRODUCTION = True
    with pytest.raises(CommandError, match="not made in production"):
        make()


@pytest.mark.django_db(transaction=True)
def test_the_same_seed_gives_the_same_demo():
    make(boats=6)
    first = facts()
    call_command("flush", interactive=False, verbosity=0)
    make(boats=6)
    assert facts() == first
