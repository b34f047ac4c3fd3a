"""Customers for tests; each is found by its words, as in the shop."""

import factory
from factory.django import DjangoModelFactory

from shopapp.customers.models import Approver, Customer, Phone
from tests.factories.accounts import ShopFactory


class CustomerFactory(DjangoModelFactory):
    """A customer of a new shop, unless told otherwise."""

    class Meta:
        model = Customer

    shop = factory.SubFactory(ShopFactory)
    name = factory.Sequence(lambda n: f"Customer {n}")
    search = factory.LazyAttribute(lambda o: o.name.lower())


class PhoneFactory(DjangoModelFactory):
    class Meta:
        model = Phone

    customer = factory.SubFactory(CustomerFactory)
    number = factory.Sequence(lambda n: f"555-{n:04d}")
    position = factory.Sequence(lambda n: n + 1)


class ApproverFactory(DjangoModelFactory):
    class Meta:
        model = Approver

    customer = factory.SubFactory(CustomerFactory)
    name = factory.Sequence(lambda n: f"Approver {n}")
    up_to_cents = 50000
