"""The lower-case words under which a row of the catalogue is found."""

from shopapp.catalog.models import EquipmentModel, Part

LIMIT = 400


def words_of_model(model: EquipmentModel) -> str:
    """Name, code, maker, family, kind and the part number it is sold as."""
    words = [
        model.name,
        model.code,
        str(model.family),
        model.get_kind_display(),
        model.part.number if model.part_id else "",
    ]
    return " ".join(word for word in words if word).lower()[:LIMIT]


def words_of_part(part: Part) -> str:
    """Number, name, bar code, kind and supplier."""
    words = [
        part.number,
        part.name,
        part.barcode,
        part.get_kind_display(),
        part.supplier.name if part.supplier_id else "",
    ]
    return " ".join(word for word in words if word).lower()[:LIMIT]
