"""Two years of quotes and jobs in every state, with problems that recur."""

from datetime import date
from random import Random

from shopapp.accounts.models import Shop, User


def make_history(*, shop: Shop, people: dict[str, User], today: date, random: Random) -> None:
    """Quotes and jobs, made by the shop's own services and then dated back."""
