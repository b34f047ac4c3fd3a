"""What the workers know of plans."""

from django.urls import reverse

from planner.models import PlanRun, PlanRunQuerySet
from planner.services import KIND, advance_plan
from shopapp.work.registry import Kind, register


def _for_list(rows: PlanRunQuerySet) -> PlanRunQuerySet:
    return rows.for_list().select_related("boat")


def _address(run: PlanRun) -> str:
    return reverse("planner:run", args=[run.pk])


register(Kind(KIND, PlanRun.objects.all, advance_plan, "plans", _for_list, _address))
