"""Money is integer cents; one rounding rule, half up, said on the quote."""

from decimal import ROUND_HALF_UP, Decimal


def round_cents(amount: Decimal) -> int:
    """Whole cents, halves away from zero (the shop norm: common practice, no source)."""
    return int(amount.quantize(Decimal(1), rounding=ROUND_HALF_UP))


def percent_of(cents: int, percent: Decimal) -> int:
    """`percent` of an amount in cents, rounded half up."""
    return round_cents(Decimal(cents) * percent / 100)


def show(cents: int, currency: str = "USD") -> str:
    """`123456` as `$1,234.56`, or with the currency's code where it has no sign here."""
    sign = "-" if cents < 0 else ""
    mark = {"USD": "$", "EUR": "€", "GBP": "£"}.get(currency, f"{currency} ")
    whole, part = divmod(abs(cents), 100)
    return f"{sign}{mark}{whole:,}.{part:02d}"
