"""Shops and people for tests."""

import factory
from factory.django import DjangoModelFactory, Password

from shopapp.accounts.models import Shop, TaxRate, User
from shopapp.roles import Role

PASSWORD = "correct horse battery"


class ShopFactory(DjangoModelFactory):
    """A shop with its money rules as they come."""

    class Meta:
        model = Shop

    name = factory.Sequence(lambda n: f"Harbour Test Bench {n}")


class UserFactory(DjangoModelFactory):
    """A service writer of a new shop, unless told otherwise."""

    class Meta:
        model = User
        skip_postgeneration_save = True

    shop = factory.SubFactory(ShopFactory)
    username = factory.Sequence(lambda n: f"person{n}")
    full_name = factory.Sequence(lambda n: f"Person {n}")
    role = Role.WRITER
    password = Password(PASSWORD)


class TaxRateFactory(DjangoModelFactory):
    """A tax on goods since the first day of 2026."""

    class Meta:
        model = TaxRate

    shop = factory.SubFactory(ShopFactory)
    name = "County tax"
    applies_to = TaxRate.AppliesTo.GOODS
    percent = "6.5"
    valid_from = "2026-01-01"
