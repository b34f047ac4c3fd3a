"""The facts of the desk's page of what came from the boat."""

from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from django.utils.dateparse import parse_datetime

from shopapp.jobs.models import Job
from shopapp.tablet.fields import FIELDS
from shopapp.tablet.models import BoatFact, Clash, Entry, PhotoUpload
from shopapp.tablet.services.sheets import punch_rows, trial_rows
from shopapp.work.models import RowState

JsonDict = dict[str, Any]
RESULTS = {"ok": "Good", "deferred": "Put off", "not_ok": "Not good", "not_tried": "Not tried"}
MOST_ENTRIES = 200


@dataclass
class Noted:
    """All fields that were written of one thing, with who wrote last and when."""

    target: str
    values: dict[str, str] = field(default_factory=dict)
    by: str = ""
    at: Any = None

    @property
    def name(self) -> str:
        """What it speaks of, without the kind."""
        return self.target.partition(":")[2]

    @property
    def result(self) -> str:
        """Its result in words; "" where none is given."""
        state = self.values.get("state", "")
        return RESULTS.get(state, state)

    @property
    def said(self) -> list[tuple[str, str]]:
        """Its fields in words, without the result."""
        known = FIELDS[self.target.partition(":")[0]]
        return [
            (known[name][0].capitalize(), value)
            for name, value in self.values.items()
            if value and name not in {"state", "photo"} and name in known
        ]


def boat_side_facts(job: Job) -> JsonDict:
    """Eight queries, whatever came."""
    noted = noted_of(job)
    clashes = Clash.objects.filter(job=job).select_related("standing_by", "other_by", "settled_by")
    entries = Entry.objects.filter(job=job).select_related("by", "decided_by", "tablet")
    uploads = PhotoUpload.objects.filter(job=job).select_related("photo", "by")
    photos = list(uploads)
    signature = noted.get("sign:customer")
    return {
        "clashes": [row for row in clashes if not row.chosen],
        "settled": [row for row in clashes if row.chosen],
        "kept": [row for row in entries if row.outcome == Entry.Outcome.REFUSED],
        "entry_count": len(entries),
        "newest": list(entries)[-1:],
        "asks": _of(noted, "ask"),
        "found": _of(noted, "unit") + _of(noted, "box"),
        "ports": _of(noted, "port"),
        "punch": _sheet(noted, "punch", punch_rows(job)),
        "trials": _sheet(noted, "trial", trial_rows(job)),
        "minutes": worked_minutes(_of(noted, "time")),
        "signature": signature,
        "signature_photo": _signature_photo(signature, photos),
        "photos": [row for row in photos if row.photo_id and not row.purpose.startswith("sign:")],
        "arriving": [row for row in photos if row.state != PhotoUpload.State.READY],
        "helpers": job.helpers.select_related("user"),
        "foreseen_ready": _foreseen_ready(job),
    }


def noted_of(job: Job) -> dict[str, Noted]:
    """Each thing that was written of, by its target; one query."""
    found: dict[str, Noted] = {}
    for row in BoatFact.objects.filter(job=job).select_related("by"):
        one = found.setdefault(row.target, Noted(row.target))
        one.values[row.name] = row.value
        if one.at is None or row.made_at > one.at:
            one.by, one.at = str(row.by), row.made_at
    return found


def _of(noted: dict[str, Noted], head: str) -> list[Noted]:
    return [one for target, one in noted.items() if target.startswith(f"{head}:")]


def _sheet(noted: dict[str, Noted], head: str, rows: list[JsonDict]) -> list[JsonDict]:
    """The sheet's own rows with what was said of each, then those that were added aboard."""
    own = {f"{head}:{row['key']}" for row in rows}
    found = [row | {"noted": noted.get(f"{head}:{row['key']}")} for row in rows]
    added = [one for one in _of(noted, head) if one.target not in own and one.values.get("text")]
    return found + [{"key": one.name, "text": one.values["text"], "noted": one} for one in added]


def worked_minutes(stretches: list[Noted]) -> int:
    """Minutes between begun and ended, of all stretches that ended."""
    total = timedelta()
    for one in stretches:
        begun, ended = (_time(one.values.get(name, "")) for name in ("begun", "ended"))
        if begun and ended and ended > begun:
            total += ended - begun
    return round(total.total_seconds() / 60)


def _time(text: str) -> Any:
    try:
        return parse_datetime(text)
    except ValueError:
        return None


def _signature_photo(signature: Noted | None, photos: list[PhotoUpload]) -> PhotoUpload | None:
    if signature is None:
        return None
    wanted = signature.values.get("photo", "")
    return next((row for row in photos if str(row.uid) == wanted and row.photo_id), None)


def _foreseen_ready(job: Job) -> bool:
    row = getattr(job, "foreseen", None)
    return row is not None and row.row_state == RowState.READY
