"""How many boats in service carry what a known problem is on."""

from django.db.models import Exists, OuterRef

from shopapp.boats.models import Boat, Unit
from shopapp.fleet.models import KnownProblem


def at_risk_of(known: KnownProblem) -> int:
    """Boats that carry its model, beside its counterpart where it has one; one query."""
    if known.model_id is None:
        return 0
    rows = Boat.objects.of(known.shop_id).current().order_by()
    for model in filter(None, (known.model_id, known.counterpart_id)):
        aboard = Unit.objects.aboard().filter(boat=OuterRef("pk"), model=model)
        rows = rows.filter(Exists(aboard))
    return rows.count()
