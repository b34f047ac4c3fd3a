"""A tablet as the desk hears it: entries with their own names, in their own order."""

import hashlib
import json
import uuid
from datetime import timedelta

from django.test import Client
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.jobs.models import Job, WorkStep


class TabletDevice:
    """One tablet in one person's hands; `clock` is how far its clock runs ahead."""

    def __init__(self, client: Client, user: User, job: Job, clock: timedelta | None = None):
        self.client, self.user, self.job = client, user, job
        self.uid = str(uuid.uuid4())
        self.clock = clock or timedelta()
        self.seq = 0

    def now_ms(self, ago: timedelta | None = None) -> int:
        at = timezone.now() + self.clock - (ago or timedelta())
        return int(at.timestamp() * 1000)

    def entry(self, kind: str, target: str = "", ago: timedelta | None = None, **body) -> dict:
        self.seq += 1
        return {
            "uid": str(uuid.uuid4()),
            "seq": self.seq,
            "job": self.job.pk,
            "person": self.user.pk,
            "kind": kind,
            "target": target,
            "body": body,
            "at": self.now_ms(ago),
        }

    def set(self, target: str, base: dict | None = None, ago=None, **fields: str) -> dict:
        return self.entry("set", target, ago, fields=fields, base=base or {})

    def on_step(self, step: WorkStep, base: dict | None = None, ago=None, **fields: str) -> dict:
        return self.set(f"step:{step.key}", base, ago, **fields)

    def send(self, *entries: dict):
        batch = {"tablet": self.uid, "now": self.now_ms(), "entries": list(entries)}
        return self.client.post(
            "/api/tablet/entries/", json.dumps(batch), content_type="application/json"
        )

    def sent(self, *entries: dict) -> list[dict]:
        """Send, and the answers in the order of the tablet."""
        answer = self.send(*entries)
        assert answer.status_code == 200, answer.content
        return answer.json()["answers"]

    def outcome(self, *entries: dict) -> list[str]:
        return [one["outcome"] for one in self.sent(*entries)]

    def photo(self, raw: bytes, purpose: str = "step:x", **more) -> dict:
        facts = {"photo": str(uuid.uuid4()), "size": len(raw), "purpose": purpose}
        return self.entry("photo", **(facts | {"digest": hashlib.sha256(raw).hexdigest()} | more))

    def piece(self, photo: dict, raw: bytes, start: int, end: int, total: int | None = None):
        return self.client.put(
            f"/api/tablet/photos/{photo['body']['photo']}/",
            raw[start:end],
            content_type="application/octet-stream",
            headers={"Content-Range": f"bytes {start}-{end - 1}/{total or len(raw)}"},
        )


def fields_for(step: WorkStep) -> dict:
    """What a technician answers where everything is as planned."""
    if step.asks == "serial":
        return {"state": "done", "found": f"SN-{step.unit_key}"}
    if step.asks == "release":
        return {"state": "done", "found": step.expect_text}
    if step.asks == "reading":
        reading = step.expect_high or step.expect_low or 13
        return {"state": "done", "reading": str(reading)}
    return {"state": "done"}
