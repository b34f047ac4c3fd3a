"""A large demo is drawn in part and copied by PostgreSQL: whole boats, told apart."""

from random import Random

import pytest
from django.db import connection
from django.db.models import F
from django.utils import timezone

from shopapp.boats.models import Boat, CableEnd, Evidence, Unit
from shopapp.demo import copies
from shopapp.demo.catalogue import make_catalogue
from shopapp.demo.copies import Drawing, drawing_of
from shopapp.demo.fleet import make_fleet
from shopapp.demo.people import make_people, make_shop
from shopapp.demo.reading import read_catalogue

postgres_only = pytest.mark.skipif(
    connection.vendor != "postgresql", reason="copies are made by PostgreSQL"
)


@postgres_only
@pytest.mark.parametrize(
    ("boats", "drawn"),
    [(60, Drawing(60, 0, 0)), (4000, Drawing(4000, 0, 0)), (100_000, Drawing(4000, 24, 0)),
     (10_001, Drawing(3333, 2, 2))],
)  # fmt: skip
def test_a_large_fleet_is_drawn_in_part(boats, drawn):
    assert drawing_of(boats) == drawn
    assert drawn.drawn * (drawn.copies + 1) + drawn.rest == boats


@postgres_only
@pytest.mark.django_db
def test_copies_are_whole_boats_told_apart(monkeypatch):
    monkeypatch.setattr(copies, "DRAWN", 5)
    shop, today = make_shop(), timezone.localdate()
    people = make_people(shop)
    dice = Random(1)
    make_catalogue(shop=shop, by=people["marta"], today=today, random=dice)
    catalogue = read_catalogue(shop=shop, by=people["tobin"], today=today)
    make_fleet(shop=shop, catalogue=catalogue, boats=11, random=dice)
    assert Boat.objects.count() == 11
    for field in ("name", "hull_number"):
        assert Boat.objects.values(field).distinct().count() == 11
    assert Unit.objects.values("serial").distinct().count() == Unit.objects.count()
    assert not Unit.objects.exclude(location__boat=F("boat")).exists()
    assert not Unit.objects.exclude(bank__boat=F("boat")).exists()
    ends = CableEnd.objects.filter(unit__isnull=False)
    assert not ends.exclude(unit__boat=F("cable__boat")).exists()
    assert not Evidence.objects.filter(unit__isnull=False).exclude(unit__boat=F("boat")).exists()
    first, copy = (Boat.objects.order_by("pk")[place] for place in (2, 5))
    assert copy.name == f"{first.name} 1"
    assert [u.model for u in copy.units.all()] == [u.model for u in first.units.all()]
    last = Boat.objects.order_by("-pk").first()
    fresh = Boat.objects.create(shop=shop, customer=last.customer, name="Fresh", length_ft=20)
    assert fresh.pk == last.pk + 1
    connection.check_constraints()
