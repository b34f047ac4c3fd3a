"""What the workers know of the fleet."""

from shopapp.fleet.models import Lesson, RecheckPart, Tally
from shopapp.fleet.services.lessons import KIND as LESSON
from shopapp.fleet.services.lessons import advance_lesson
from shopapp.fleet.services.rechecks import KIND as RECHECK
from shopapp.fleet.services.rechecks import advance_part
from shopapp.fleet.services.tallies import KIND, advance_tally
from shopapp.work.registry import Kind, register

register(Kind(KIND, Tally.objects.all, advance_tally))
register(Kind(LESSON, Lesson.objects.all, advance_lesson))
register(Kind(RECHECK, RecheckPart.objects.all, advance_part))
