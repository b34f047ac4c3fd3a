"""Rows that a worker advances: the row is the truth, a message is only a bell.

requested → running → ready | failed, and stopped where a person says so. A worker claims a row
by compare-and-set, holds it under a lease, and finishes it only while the lease is still its own.
"""

import uuid
from datetime import datetime, timedelta
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

RING_AGAIN_SECONDS = 30


class RowState(models.TextChoices):
    """Where a worker's row stands."""

    REQUESTED = "requested", "requested"
    RUNNING = "running", "being made"
    READY = "ready", "ready"
    FAILED = "failed", "failed"
    STOPPED = "stopped", "stopped"


class LeasedQuerySet(models.QuerySet):
    """Questions and moves of worker's rows."""

    def open_now(self, now: datetime) -> Self:
        """Rows that a worker may claim: requested and not put off, or running past their lease."""
        due = Q(wait_until__isnull=True) | Q(wait_until__lte=now)
        return self.filter(
            Q(due, row_state=RowState.REQUESTED)
            | Q(row_state=RowState.RUNNING, lease_until__lt=now)
        )

    def oldest_first(self) -> Self:
        """In the order of the work: single wishes first, then batches, each by age."""
        return self.order_by("in_bulk", "requested_at", "pk")

    def unfinished(self) -> Self:
        """Rows that are neither ready nor failed."""
        return self.filter(row_state__in=[RowState.REQUESTED, RowState.RUNNING])

    def claim(self, pk: int) -> uuid.UUID | None:
        """Take the row if it is open; the claim's mark, or None where another was first."""
        now = timezone.now()
        mark = uuid.uuid4()
        taken = (
            self.filter(pk=pk)
            .open_now(now)
            .update(
                row_state=RowState.RUNNING,
                lease_owner=mark,
                lease_until=now + timedelta(seconds=settings.WORK_LEASE_SECONDS),
                tries=F("tries") + 1,
                reason="",
                wait_until=None,
            )
        )
        return mark if taken == 1 else None

    def finish(self, pk: int, mark: uuid.UUID, **effect: object) -> bool:
        """Store the effect if the claim still holds; False where it was overtaken."""
        done = self.filter(pk=pk, row_state=RowState.RUNNING, lease_owner=mark).update(
            row_state=RowState.READY,
            lease_owner=None,
            lease_until=None,
            finished_at=timezone.now(),
            reason="",
            **effect,
        )
        return done == 1

    def give_back(self, pk: int, mark: uuid.UUID, reason: str) -> bool:
        """After a fault: requested again while tries are left, else failed, with the reason."""
        mine = self.filter(pk=pk, row_state=RowState.RUNNING, lease_owner=mark)
        free = {"lease_owner": None, "lease_until": None, "reason": reason[:500]}
        if mine.filter(tries__lt=settings.WORK_MAX_TRIES).update(
            row_state=RowState.REQUESTED, **free
        ):
            return True
        return mine.update(row_state=RowState.FAILED, finished_at=timezone.now(), **free) == 1

    def put_off(self, pk: int, mark: uuid.UUID, reason: str, seconds: int) -> bool:
        """After a fault that is none of the row's (a full disk): tried again later, no try lost."""
        mine = self.filter(pk=pk, row_state=RowState.RUNNING, lease_owner=mark)
        return (
            mine.update(
                row_state=RowState.REQUESTED,
                lease_owner=None,
                lease_until=None,
                tries=F("tries") - 1,
                reason=reason[:500],
                wait_until=timezone.now() + timedelta(seconds=seconds),
            )
            == 1
        )

    def fail(self, pk: int, mark: uuid.UUID, reason: str) -> bool:
        """Failed for good, with a reason that a person can act on."""
        mine = self.filter(pk=pk, row_state=RowState.RUNNING, lease_owner=mark)
        return (
            mine.update(
                row_state=RowState.FAILED,
                lease_owner=None,
                lease_until=None,
                reason=reason[:500],
                finished_at=timezone.now(),
            )
            == 1
        )

    def renew(self, pk: int, mark: uuid.UUID) -> bool:
        """Hold a long row for another lease; False where the claim is lost, so stop working."""
        until = timezone.now() + timedelta(seconds=settings.WORK_LEASE_SECONDS)
        mine = self.filter(pk=pk, row_state=RowState.RUNNING, lease_owner=mark)
        return mine.update(lease_until=until) == 1

    def give_up_hopeless(self, now: datetime) -> int:
        """Fail rows whose worker vanished on every try, so that none is taken up for ever."""
        return self.filter(
            row_state=RowState.RUNNING, lease_until__lt=now, tries__gte=settings.WORK_MAX_TRIES
        ).update(
            row_state=RowState.FAILED,
            lease_owner=None,
            lease_until=None,
            reason=f"The worker stopped {settings.WORK_MAX_TRIES} times while making this. "
            "Try again; if it stays, tell the owner of the system.",
            finished_at=now,
        )

    def to_ring(self, now: datetime) -> Self:
        """Open rows whose bell was not rung within the last half minute."""
        late = now - timedelta(seconds=RING_AGAIN_SECONDS)
        return self.open_now(now).filter(Q(rung_at__isnull=True) | Q(rung_at__lt=late))

    def mark_rung(self) -> int:
        """Note that a worker was just told of these rows."""
        return self.update(rung_at=timezone.now())

    def ask_again(self, pk: int) -> bool:
        """A person's "try again" on a failed or stopped row."""
        return self.filter(pk=pk).ask_all_again() == 1

    def ask_all_again(self) -> int:
        """Bring failed and stopped rows back into the line; how many."""
        return self.filter(row_state__in=[RowState.FAILED, RowState.STOPPED]).update(
            row_state=RowState.REQUESTED,
            tries=0,
            reason="",
            finished_at=None,
            rung_at=None,
            wait_until=None,
        )

    def stop(self, *, by: str) -> int:
        """Take unfinished rows out of the line; a worker at one finds its claim gone. How many."""
        return self.unfinished().update(
            row_state=RowState.STOPPED,
            lease_owner=None,
            lease_until=None,
            reason=f"Stopped by {by}."[:500],
            finished_at=timezone.now(),
        )


class LeasedRow(models.Model):
    """Abstract: a row that a worker advances."""

    row_state = models.CharField(
        max_length=10, choices=RowState.choices, default=RowState.REQUESTED, db_index=True
    )
    lease_owner = models.UUIDField(null=True, blank=True, editable=False)
    lease_until = models.DateTimeField(null=True, blank=True, editable=False)
    tries = models.PositiveSmallIntegerField(default=0, editable=False)
    reason = models.CharField(max_length=500, blank=True)
    requested_at = models.DateTimeField(default=timezone.now, editable=False)
    rung_at = models.DateTimeField(null=True, blank=True, editable=False)
    finished_at = models.DateTimeField(null=True, blank=True, editable=False)
    wait_until = models.DateTimeField(null=True, blank=True, editable=False)
    in_bulk = models.BooleanField("part of a batch, after single wishes", default=False)

    objects = LeasedQuerySet.as_manager()

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                name="%(app_label)s_%(class)s_row_state_known",
                condition=Q(row_state__in=RowState.values),
            ),
        ]

    @property
    def unmade(self) -> bool:
        """Whether it ended without a result: failed, or stopped by a person."""
        return self.row_state in {RowState.FAILED, RowState.STOPPED}
