"""The shop's own rules for every sum and check: one function to ask."""

from planner.engine.sums.local_rules import LIMITS, LocalRules
from planner.models import SumRules
from shopapp.accounts.models import Shop


def rules_of(shop: Shop | int) -> LocalRules:
    """What a shop works by, one query; a shop that said nothing works by the built-in rules."""
    row = SumRules.objects.filter(shop=shop).first()
    if row is None:
        return LocalRules()
    own = {name: getattr(row, name) for name in LIMITS}
    return LocalRules(
        areas=row.areas,
        bus_limit=row.bus_limit,
        smallest_awg=row.smallest_awg or None,
        **{name: None if value is None else float(value) for name, value in own.items()},
    )
