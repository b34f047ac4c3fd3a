"""The demo's tablets: entries of two technicians on the job that is being worked on."""

import uuid

from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.jobs.models import Job
from shopapp.tablet.services.foreseeing import ask_foreseen
from shopapp.tablet.services.settling import add_helper
from shopapp.tablet.services.sheets import punch_rows
from shopapp.tablet.services.taking import Sent, greet_tablet, take_entries

JOBS_TAKEN_ALONG = 6


def make_tablet(*, shop: Shop, people: dict[str, User]) -> None:
    """What came from the boat so far; the answers for what may be found are asked for."""
    coming = Job.objects.of(shop).filter(state__in=["scheduled", "on_job"]).order_by("pk")
    for job in coming.select_related("option")[:JOBS_TAKEN_ALONG]:
        ask_foreseen(job)
    job = coming.filter(state="on_job").first()
    if job is None:
        return
    one = job.technician
    other = next(people[name] for name in ("tobin", "iris") if people[name] != one)
    add_helper(job=job, user=other)
    units = [row["unit"] for row in job.plan["units"] if row["fate"] == "stays"]
    _send(one, job, _first_entries(job, units))
    # The other one had not seen these: the note differs, so both are kept and a person decides.
    _send(other, job, [("set", "trial:stations", {"state": "ok", "note": "Bow radar page blank"})])


def _first_entries(job: Job, units: list[str]) -> list[tuple[str, str, dict[str, str]]]:
    points = [
        ("set", f"punch:{row['key']}", {"state": "ok", "note": ""}) for row in punch_rows(job)[:2]
    ]
    begun = timezone.now().replace(microsecond=0).isoformat()
    found = [
        *points,
        ("set", "time:demo", {"begun": begun, "what": "At the boat"}),
        ("set", "trial:stations", {"state": "ok", "note": "All pages seen"}),
        ("set", "box:demo", {"what": "Grey box without a label", "where": "behind the helm"}),
    ]
    if units:
        words = f"{units[0]} has other screws and a newer label than on record."
        found.append(("set", "ask:demo", {"words": words, "unit": units[0], "state": "open"}))
    return found


def _send(user: User, job: Job, rows: list[tuple[str, str, dict[str, str]]]) -> None:
    now = int(timezone.now().timestamp() * 1000)
    tablet = greet_tablet(user=user, uid=uuid.uuid5(uuid.NAMESPACE_DNS, user.username), now_ms=now)
    sent = [
        Sent(uuid.uuid5(tablet.uid, f"{place}"), place, job.pk, user.pk, kind, target,
             {"fields": fields, "base": {}}, now)
        for place, (kind, target, fields) in enumerate(rows, start=1)
    ]  # fmt: skip
    take_entries(user=user, tablet=tablet, entries=sent)
