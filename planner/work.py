"""What the workers know of plans."""

from planner.models import PlanRun
from planner.services import KIND, advance_plan
from shopapp.work.registry import Kind, register

register(Kind(KIND, PlanRun.objects.all, advance_plan))
