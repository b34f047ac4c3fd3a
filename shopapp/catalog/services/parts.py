"""Parts and suppliers: saved with the words under which they are found."""

from django.db import transaction

from shopapp.catalog.models import EquipmentModel, Part, Supplier
from shopapp.catalog.services.codes import check_number_free_of_models
from shopapp.catalog.services.search import words_of_model, words_of_part
from shopapp.errors import FactRefused

LONGEST_CHAIN = 50


@transaction.atomic
def save_part(*, part: Part) -> Part:
    """Save a part; refuses a circle of supersession and a number that is a model's code."""
    check_number_free_of_models(shop=part.shop, number=part.number)
    _check_no_circle(part)
    part.search = words_of_part(part)
    part.save()
    model = EquipmentModel.objects.for_cards().filter(part=part).first()
    if model:
        EquipmentModel.objects.filter(pk=model.pk).update(search=words_of_model(model))
    return part


def _check_no_circle(part: Part) -> None:
    later = part.superseded_by
    for _ in range(LONGEST_CHAIN):
        if later is None:
            return
        if later.pk == part.pk:
            break
        later = later.superseded_by
    raise FactRefused(
        f"{part.superseded_by.number} is itself superseded by {part.number}.",
        field="superseded_by",
        todo="Choose the part that is really sold now.",
    )


def newest_of(part: Part) -> Part:
    """The part at the end of the supersession; the part itself where nothing followed."""
    for _ in range(LONGEST_CHAIN):
        if part.superseded_by is None:
            break
        part = part.superseded_by
    return part


@transaction.atomic
def save_supplier(*, supplier: Supplier) -> Supplier:
    """Save a supplier; its parts are found under its new name."""
    supplier.save()
    parts = list(supplier.parts.select_related("supplier"))
    for part in parts:
        part.search = words_of_part(part)
    Part.objects.bulk_update(parts, ["search"], batch_size=500)
    return supplier
