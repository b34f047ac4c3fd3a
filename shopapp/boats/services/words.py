"""By which words a boat is found."""

from shopapp.boats.hull_number import read_hull_number
from shopapp.boats.models import Boat

SEARCH_LENGTH = 400


def freshen(boat: Boat) -> None:
    """Bring the normalised hull number and the search words up to date, without saving."""
    boat.hull_number = read_hull_number(boat.hull_number_read).text
    words = [
        boat.name,
        boat.customer.name,
        boat.hull_number,
        boat.registration,
        boat.marina,
        boat.berth,
        boat.builder,
        # Phones and e-mail of the owner: the caller is found by either.
        boat.customer.search,
    ]
    boat.search = " ".join(word for word in words if word).lower()[:SEARCH_LENGTH]
