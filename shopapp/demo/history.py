"""Two years of quotes and jobs in every state, with problems that recur."""

from datetime import date
from random import Random

from shopapp.accounts.models import Shop, User
from shopapp.demo.visits import make_visits


def make_history(*, shop: Shop, people: dict[str, User], today: date, random: Random) -> None:
    """Past visits in bulk, then quotes and jobs by the shop's own services, dated back."""
    make_visits(shop=shop, people=people, today=today, random=random)
