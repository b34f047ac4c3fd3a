"""A job's network for the fault finder."""

from typing import Any

from planner.finding.boat import network_of_boat, network_of_plan
from shopapp.jobs.models import Job


def network_of_job(job: Job) -> dict[str, Any]:
    """The network as the job plans it; a job without a plan goes by the boat's record."""
    if not job.ports:
        return network_of_boat(job.boat)
    return network_of_plan(shop=job.shop_id, boat=job.boat, plan=job.plan, ports=job.ports)
