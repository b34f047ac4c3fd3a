"""A change of the catalogue must leave the statements in force true to their form."""

from planner.statements.checks import circle_of, faults_of
from planner.statements.queries import catalogue_of, rules_in_force
from planner.statements.search import marks_of
from shopapp.catalog.guards import register_guard
from shopapp.catalog.models import EquipmentModel
from shopapp.errors import FactRefused


def check_statements_hold(model: EquipmentModel) -> None:
    """Refuse a model that a statement naming it no longer fits, or that closes a circle."""
    rules = rules_in_force(model.shop, but=set())
    if not rules:
        return
    catalogue = catalogue_of(model.shop)
    for number, rule in rules:
        named = f"model:{model.code}" in marks_of(rule)
        faults = faults_of(rule, catalogue) if named else []
        if faults:
            raise FactRefused(f"{number} speaks of it: {faults[0].message}", field="kind")
    for number, rule in rules:
        others = [(code, other) for code, other in rules if code != number]
        way = circle_of(rule, others, catalogue)
        if way:
            raise FactRefused(
                f"With the order of updates in {number} it would come before itself: "
                f"{', before '.join(way)}.",
                field="kind",
                todo="Supersede that statement first.",
            )


register_guard(check_statements_hold)
