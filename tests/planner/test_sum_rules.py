"""A shop's own rules of the sums: stricter is kept, looser refused by form and database alike."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from planner.benchsums.rules import rules_of
from planner.engine.sums.local_rules import LIMITS, LocalRules
from planner.models import SumRules
from tests.engine.sums.test_local_rules import LOOSER, STRICTER

URL = reverse("planner:sum_rules")
KEPT = {"areas": "sae", "bus_limit": "plain"}


@pytest.fixture
def mona(manager, client_for):
    return client_for(manager)


@pytest.mark.parametrize("name", LIMITS)
def test_a_stricter_rule_is_kept_and_asked_by_every_sum(mona, shop, name):
    assert mona.post(URL, KEPT | {name: STRICTER[name]}).status_code == 302
    assert rules_of(shop).value(name) == pytest.approx(STRICTER[name])
    assert rules_of(shop).is_own(name)


@pytest.mark.parametrize("name", LIMITS)
def test_a_looser_rule_is_refused_beside_its_field_with_what_was_typed(mona, shop, name):
    response = mona.post(URL, KEPT | {name: LOOSER[name]})
    text = response.content.decode()
    assert response.status_code == 422
    assert "may only be stricter" in text.split(f'id="id_{name}_error"')[1].split("</p>")[0]
    assert f'value="{LOOSER[name]}"' in text
    assert rules_of(shop) == LocalRules()


@pytest.mark.parametrize("name", LIMITS)
@pytest.mark.django_db(transaction=True)
def test_the_database_refuses_a_looser_rule_too(shop, name):
    with pytest.raises(IntegrityError), transaction.atomic():
        SumRules.objects.create(shop=shop, **{name: Decimal(str(LOOSER[name]))})


def test_the_guide_chosen_bounds_the_backbones_drop(mona, shop):
    looser = KEPT | {"bus_limit": "battery", "bus_drop_volts": "1.6"}
    assert mona.post(URL, looser).status_code == 422
    assert mona.post(URL, looser | {"bus_limit": "isolated"}).status_code == 302
    assert rules_of(shop).value("bus_drop_volts") == pytest.approx(1.6)
    with pytest.raises(IntegrityError), transaction.atomic():
        SumRules.objects.filter(shop=shop).update(bus_limit="battery")


@pytest.mark.parametrize("bad", ["-1", "0", "three", "99999"])
def test_what_is_no_rule_is_refused(mona, bad):
    assert mona.post(URL, KEPT | {"drop_percent": bad}).status_code == 422


def test_the_page_shows_what_is_in_force_and_who_changed_it(mona, shop):
    mona.post(URL, KEPT | {"fuse_percent": "100", "said_by": "Insurer of the marina"})
    text = mona.get(URL).content.decode()
    assert "<b>100 %</b>" in text
    assert "Insurer of the marina" in text
    assert "Mona Reed" in text
    mona.post(URL, KEPT)
    assert rules_of(shop) == LocalRules()


def test_only_those_who_keep_the_settings_change_rules_and_each_shop_has_its_own(
    mona, shop, technician, stranger, client_for
):
    assert client_for(technician).get(URL).status_code == 403
    mona.post(URL, KEPT | {"smallest_awg": "14"})
    assert rules_of(shop).smallest_awg == "14"
    assert rules_of(stranger.shop) == LocalRules()
    assert "14" not in client_for(stranger).get(URL).content.decode().split("in-force")[1]


def test_a_shop_is_asked_in_one_query(shop, django_assert_num_queries):
    with django_assert_num_queries(1):
        rules_of(shop)
