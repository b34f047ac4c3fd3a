"""Which plan of a finished planning is asked about, and how long a page may ask."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest

from planner.models import PlanRun
from planner.plans import plan_columns
from planner.services import IN_REQUEST_SECONDS, stop_after
from shopapp.accounts.access import get_for

JsonDict = dict[str, Any]
TIME_RAN_OUT = "Not proven in the time given."


@dataclass(frozen=True)
class Chosen:
    """One plan of a run; `number` counts its columns from 1."""

    run: PlanRun
    number: int
    plan: JsonDict

    @property
    def case(self) -> JsonDict:
        """The case that it answers."""
        return self.run.case


def run_of(request: HttpRequest, pk: int) -> PlanRun:
    """The plan of the person's own shop."""
    rows = PlanRun.objects.select_related("boat__customer", "boat__shop", "shop", "asked_by")
    return get_for(request, rows, pk=pk)


def chosen_of(request: HttpRequest, pk: int) -> Chosen:
    """The option that `?option=` names; 404 where the plan has none."""
    run = run_of(request, pk)
    columns = plan_columns(run.answer or {})
    if not columns:
        raise Http404("This plan has no options.")
    number = min(max(number_in(request, "option", 1), 1), len(columns))
    return Chosen(run, number, columns[number - 1].plan)


def number_in(request: HttpRequest, name: str, default: int) -> int:
    """A small whole number sent with the request."""
    text = request.POST.get(name) or request.GET.get(name, "")
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 4 else default


def in_page() -> Callable[[], bool]:
    """A question for the engine: is the time of one page up?"""
    return stop_after(IN_REQUEST_SECONDS)
