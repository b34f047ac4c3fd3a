"""The engine's sentences as the shop says them: names for codes, the shop's currency."""

import re
from typing import Any

from planner.telling import in_words
from shopapp import money

JsonDict = dict[str, Any]
_DOLLARS = re.compile(r"\$([\d,]+)\.(\d\d)")


def shop_words(case: JsonDict, plan: JsonDict, text: str, currency: str) -> str:
    """A sentence of the engine about a plan, with models and new units by their names."""
    return in_words(case, plan, in_currency(text, currency))


def in_currency(text: str, currency: str) -> str:
    """The engine writes cents as dollars; here they get the shop's sign."""

    def shown(found: re.Match[str]) -> str:
        whole, cents = found.groups()
        return money.show(int(whole.replace(",", "")) * 100 + int(cents), currency)

    return _DOLLARS.sub(shown, text)
