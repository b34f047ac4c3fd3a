"""Statements for tests."""

from datetime import date

import factory
from factory.django import DjangoModelFactory

from planner.models import Statement
from planner.statements.search import words_of_statement
from tests.factories.accounts import ShopFactory


class StatementFactory(DjangoModelFactory):
    """At most four displays on one network, by a maker's guide seen in November 2026."""

    class Meta:
        model = Statement

    shop = factory.SubFactory(ShopFactory)
    code = factory.Sequence(lambda n: f"S-{n:03d}")
    text = "At most four displays on one network."
    rule = factory.LazyFunction(lambda: {"at_most": 4, "of": {"kinds": ["display"]}})
    source = "Install guide, invented for tests"
    seen = date(2026, 11, 1)
    confidence = Statement.Confidence.HIGH

    @classmethod
    def _create(cls, model_class: type[Statement], *args: object, **facts: object) -> Statement:
        row = model_class(**facts)
        row.search = row.search or words_of_statement(row)
        row.save()
        return row
