"""Names that models and parts share: a plan tells them apart by name alone."""

from shopapp.accounts.models import Shop
from shopapp.errors import FactRefused


def check_code_free_of_parts(*, shop: Shop, code: str) -> None:
    """Refuse a model's code that is a part number of the shop."""
    if shop.parts.filter(number=code).exists():
        raise FactRefused(
            f"{code} is a part number already.",
            field="code",
            todo="Choose another code: plans tell models and parts apart by it.",
        )


def check_number_free_of_models(*, shop: Shop, number: str) -> None:
    """Refuse a part number that is a model's code in the shop."""
    if shop.models.filter(code=number).exists():
        raise FactRefused(
            f"{number} is the code of a model already.",
            field="number",
            todo="Choose another number: plans tell models and parts apart by it.",
        )
