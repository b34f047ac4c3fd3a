"""A maker's or family's new name goes into the words under which their models are found."""

from django.db import transaction

from shopapp.catalog.models import EquipmentModel, Family, Maker
from shopapp.catalog.services.search import words_of_model


def _find_again(**which: object) -> None:
    rows = list(EquipmentModel.objects.for_cards().filter(**which))
    for row in rows:
        row.search = words_of_model(row)
    EquipmentModel.objects.bulk_update(rows, ["search"], batch_size=500)


@transaction.atomic
def save_maker(*, maker: Maker) -> Maker:
    """Save a maker."""
    maker.save()
    _find_again(family__maker=maker)
    return maker


@transaction.atomic
def save_family(*, family: Family) -> Family:
    """Save a family."""
    family.save()
    _find_again(family=family)
    return family
