"""The fault finder of a job as JSON: an answer for what was seen, or the table for a tablet."""

import json
from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from planner.finding.answers import ask_finder, table_of
from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused
from shopapp.jobs.faults import network_of_job
from shopapp.jobs.models import Job


class JobFaultsView(APIView):
    """`?seen={look: answer}` asks; `?table=1` gives all that answers with no signal."""

    action_see = "jobs.see"

    def get(self, request: Request, pk: int) -> Response:
        """Causes that fit, the next looks, all looks; or each fault and what it shows otherwise."""
        job = get_for(request, Job.objects.select_related("boat"), pk=pk)
        network = network_of_job(job)
        if request.query_params.get("table"):
            return Response(table_of(network))
        seen = _read(request.query_params.get("seen", "{}"))
        return Response(ask_finder(network=network, seen=seen))


def _read(text: str) -> Any:
    try:
        return json.loads(text)
    except (ValueError, RecursionError) as error:
        raise FactRefused(
            "What was seen is no JSON that can be read.",
            field="seen",
            todo='Give one object, for example ?seen={"slow": "yes"}.',
        ) from error
