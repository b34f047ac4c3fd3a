"""The sheets of commissioning: what is looked at, tried at sea and signed before handing over.

Points and trials are common practice, no source, save where a step names its own.
"""

import hashlib
from typing import Any

from shopapp.errors import MoveRefused
from shopapp.jobs.documents.plan_rows import PlanPaper, unit_rows
from shopapp.jobs.documents.punch import HANDOVER, punch_list
from shopapp.jobs.models import Job
from shopapp.tablet.models import BoatFact

JsonDict = dict[str, Any]
NAMED = 3
# key, what is tried, how it is written down, kinds of units it is for (none: always)
TRIALS = (
    ("bottom-idle", "Bottom held at idle", "yes, or where it was lost", {"sounder"}),
    ("bottom-10kn", "Bottom held at 10 kn", "yes, or at which speed it was lost", {"sounder"}),
    ("bottom-cruise", "Bottom held at cruise", "speed and yes, or where lost", {"sounder"}),
    ("depth", "Depth against a known depth, within 1 ft (0.3 m)", "both depths", {"sounder"}),
    ("heading", "Heading against a known bearing, within 3°, loads on and off", "difference", ()),
    ("radar", "Radar picture lies on a fixed mark", "correction set", {"radar"}),
    ("motor", "Motor at full: no noise on the sonar", "what was seen", {"motor"}),
    ("radio", "Radio check answered", "channel and station", ()),
    ("stations", "All stations show chart, sonar, radar and camera as promised", "", ()),
    ("restart", "Everything switched off and on again at sea: all units come back", "", ()),
)


def punch_rows(job: Job) -> list[JsonDict]:
    """The points of the punch list, each with a key that stays the same for the same words."""
    if not job.plan or not job.case:
        return []
    lines = punch_list(unit_rows(PlanPaper(job.case, job.plan)))
    return [{"key": hashlib.sha256(line.encode()).hexdigest()[:12], "text": line} for line in lines]


def trial_rows(job: Job) -> list[JsonDict]:
    """The trials that this boat's units call for."""
    models = job.case.get("catalogue", {}).get("models", {})
    kinds = {models[row["model"]]["kind"] for row in job.plan.get("units", [])}
    return [
        {"key": key, "text": text, "writes": writes}
        for key, text, writes, needs in TRIALS
        if not needs or needs & kinds
    ]


def handover_lines() -> list[str]:
    """What is handed over with the boat."""
    return list(HANDOVER)


def check_sheets_done(job: Job, after: str) -> None:
    """A job is checked when its punch list is answered, handed over when the customer signed.

    MoveRefused with what is missing.
    """
    rows = BoatFact.objects.filter(job=job).values_list("target", "name", "value")
    said = {(target, name): value for target, name, value in rows}
    left = [
        row["text"] for row in punch_rows(job) if not said.get((f"punch:{row['key']}", "state"))
    ]
    if left:
        more = f" and {len(left) - NAMED} more" if len(left) > NAMED else ""
        raise MoveRefused(
            f"The punch list is not answered: {'; '.join(left[:NAMED])}{more}.",
            todo="Answer each point: good, or put off with the owner's word.",
        )
    if after == Job.State.HANDED_OVER and not said.get(("sign:customer", "name")):
        raise MoveRefused(
            "The customer has not signed.", todo="Let the customer sign on the tablet first."
        )
