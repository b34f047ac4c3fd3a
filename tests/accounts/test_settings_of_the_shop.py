"""The shop's name on paper, money rules and taxes."""

from collections.abc import Callable
from datetime import date
from http import HTTPStatus

import pytest
from django.forms import model_to_dict
from django.test import Client

from shopapp.accounts.forms import ShopForm
from shopapp.accounts.models import Shop, TaxRate, User
from tests.factories.accounts import TaxRateFactory

pytestmark = pytest.mark.urls("tests.ui.sample")
ClientFor = Callable[[User], Client]
TAX = {
    "tax-name": "County tax",
    "tax-applies_to": "goods",
    "tax-percent": "6.5",
    "tax-valid_from": "2026-07-01",
}


def settings_of(shop: Shop, **changes: str) -> dict[str, str]:
    form = ShopForm(instance=shop)
    facts = model_to_dict(shop, form.fields)
    typed = {name: form[name].field.prepare_value(value) for name, value in facts.items()}
    return {name: "" if value is None else value for name, value in typed.items()} | changes


def test_rates_are_typed_as_money_and_kept_as_cents(client_for: ClientFor, owner: User) -> None:
    facts = settings_of(owner.shop, labour_cents_per_hour="1,140.00", quote_valid_days="30")
    answer = client_for(owner).post("/settings/", facts)
    assert answer.status_code == HTTPStatus.FOUND
    shop = Shop.objects.get(pk=owner.shop_id)
    assert (shop.labour_cents_per_hour, shop.quote_valid_days) == (114000, 30)


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("labour_cents_per_hour", "0", "whole cents a minute"),
        ("labour_cents_per_hour", "a lot", "Write an amount like"),
        ("labour_cents_per_hour", "-5", "cannot be below zero"),
        ("deposit_percent", "140", "100"),
        ("time_zone", "Atlantis/Pier", "no known time zone"),
        ("currency", "U$", "three letters"),
    ],
)
def test_a_rule_that_cannot_be_right_is_refused_beside_its_field(
    client_for: ClientFor, owner: User, field: str, typed: str, words: str
) -> None:
    answer = client_for(owner).post("/settings/", settings_of(owner.shop, **{field: typed}))
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert list(answer.context["form"].errors) == [field]
    assert typed in answer.content.decode()
    assert words in str(answer.context["form"].errors[field])


def test_a_rate_between_whole_cents_names_its_neighbours(
    client_for: ClientFor, owner: User
) -> None:
    facts = settings_of(owner.shop, labour_cents_per_hour="120.01")
    errors = client_for(owner).post("/settings/", facts).context["form"].errors
    assert "120.00 or 120.60" in str(errors["labour_cents_per_hour"])


def test_a_changed_rule_is_noted_with_before_and_after(client_for: ClientFor, owner: User) -> None:
    client = client_for(owner)
    client.post("/settings/", settings_of(owner.shop, deposit_percent="50"))
    change = client.get("/settings/").context["changes"][0]
    assert change.fields == [("Deposit percent", "40", "50")]


def test_a_tax_rate_is_added_to_the_own_shop(client_for: ClientFor, manager: User) -> None:
    client_for(manager).post("/settings/taxes/add/", TAX)
    rate = TaxRate.objects.get()
    assert (rate.shop, str(rate), rate.valid_from) == (
        manager.shop,
        "County tax 6.5 %",
        date(2026, 7, 1),
    )


def test_a_wrong_tax_rate_keeps_what_was_typed(client_for: ClientFor, manager: User) -> None:
    answer = client_for(manager).post("/settings/taxes/add/", TAX | {"tax-percent": "650"})
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert answer.context["tax_form"]["percent"].value() == "650"
    assert not TaxRate.objects.exists()


def test_a_tax_rate_ends_on_a_named_day(client_for: ClientFor, manager: User) -> None:
    rate = TaxRateFactory(shop=manager.shop)
    answer = client_for(manager).post(
        f"/settings/taxes/{rate.pk}/end/", {"valid_until": "2026-06-30"}
    )
    rate.refresh_from_db()
    assert answer.status_code == HTTPStatus.FOUND
    assert rate.valid_until == date(2026, 6, 30)


def test_a_tax_rate_does_not_end_before_it_began(client_for: ClientFor, manager: User) -> None:
    rate = TaxRateFactory(shop=manager.shop)
    answer = client_for(manager).post(
        f"/settings/taxes/{rate.pk}/end/", {"valid_until": "2025-12-31"}
    )
    assert answer.status_code == HTTPStatus.UNPROCESSABLE_ENTITY
    assert "before the first day" in str(answer.context["form"].errors["valid_until"])


def test_a_tax_rate_of_another_shop_is_not_there(client_for: ClientFor, manager: User) -> None:
    rate = TaxRateFactory()
    answer = client_for(manager).get(f"/settings/taxes/{rate.pk}/end/")
    assert answer.status_code == HTTPStatus.NOT_FOUND
