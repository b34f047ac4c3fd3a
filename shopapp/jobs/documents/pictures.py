"""The before-and-after drawings of a paper, as inline SVG."""

from shopapp.jobs.models import Job, Quote


def plan_pictures(kind: str, subject: Job | Quote) -> dict[int, str]:
    """Drawings by the key under which the template asks: 0 for a job, else the option's pk."""
    return {}
