"""What the workers know of the fleet."""

from shopapp.fleet.models import Tally
from shopapp.fleet.services.tallies import KIND, advance_tally
from shopapp.work.registry import Kind, register

register(Kind(KIND, Tally.objects.all, advance_tally))
