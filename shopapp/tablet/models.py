"""What comes back from the boat: entries as they were sent, values by field, clashes, photos."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from shopapp.accounts.models import OfShop, Shop
from shopapp.boats.models import Photo
from shopapp.jobs.models import Job
from shopapp.work.models import LeasedQuerySet, LeasedRow

WHO = settings.AUTH_USER_MODEL


class Tablet(models.Model):
    """A device that sends entries, by the name that it gave itself; its clock against ours."""

    shop = models.ForeignKey(Shop, on_delete=models.CASCADE, related_name="tablets")
    uid = models.UUIDField()
    user = models.ForeignKey(WHO, on_delete=models.PROTECT, related_name="+")
    clock_off_ms = models.BigIntegerField("our clock less its own (ms)", default=0)
    first_seen_at = models.DateTimeField(default=timezone.now)
    last_seen_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-last_seen_at"]
        constraints = [models.UniqueConstraint(fields=["shop", "uid"], name="tablet_once_a_shop")]

    def __str__(self) -> str:
        return f"tablet {str(self.uid)[:8]}"


class Entry(models.Model):
    """One entry of a tablet, accepted once; what was sent is kept whatever became of it."""

    class Outcome(models.TextChoices):
        TAKEN = "taken", "Written to the job"
        CLASH = "clash", "Differs from another entry"
        OVERTAKEN = "overtaken", "Followed by a later entry of the same tablet"
        REFUSED = "refused", "Could not be written"
        LEFT_OUT = "left_out", "Left out by the desk"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="entries")
    uid = models.UUIDField()
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="entries")
    tablet = models.ForeignKey(Tablet, on_delete=models.PROTECT, related_name="entries")
    seq = models.PositiveBigIntegerField("its place in the tablet's order")
    kind = models.SlugField(max_length=12)
    target = models.CharField(max_length=160, blank=True)
    body = models.JSONField(default=dict)
    by = models.ForeignKey(WHO, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField("made at the boat, by our clock")
    received_at = models.DateTimeField(default=timezone.now)
    outcome = models.CharField(max_length=9, choices=Outcome.choices)
    message = models.TextField(blank=True)
    todo = models.TextField(blank=True)
    decided_by = models.ForeignKey(
        WHO, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    decided_at = models.DateTimeField(null=True, blank=True)

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["received_at", "pk"]
        verbose_name_plural = "entries"
        indexes = [models.Index(fields=["job", "outcome"]), models.Index(fields=["tablet", "seq"])]
        constraints = [
            models.UniqueConstraint(fields=["shop", "uid"], name="entry_accepted_once"),
            models.CheckConstraint(
                name="entry_outcome_known",
                condition=Q(
                    outcome__in=["taken", "clash", "overtaken", "refused", "left_out"],
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.target}".strip()


class BoatFact(models.Model):
    """The value of one field that was last written from the boat, and by whom.

    `target` is what it speaks of (`step:KEY`, `unit:d1`, `port:sw1:3`, `trial:depth`,
    `punch:…`, `ask:…`, `sign:customer`), `name` the field.
    """

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="boat_facts")
    target = models.CharField(max_length=160)
    name = models.SlugField(max_length=24)
    value = models.TextField(blank=True)
    by = models.ForeignKey(WHO, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    tablet = models.ForeignKey(Tablet, on_delete=models.PROTECT, related_name="+", null=True)
    seq = models.PositiveBigIntegerField(default=0)

    class Meta:
        ordering = ["job", "target", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["job", "target", "name"], name="boat_fact_once_a_field"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.target} {self.name}: {self.value}"


class Clash(models.Model):
    """Two people wrote the same field without seeing each other; a person decides."""

    class Chosen(models.TextChoices):
        OPEN = "", "Not decided"
        STANDING = "standing", "What stood stays"
        OTHER = "other", "The other one is right"

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="clashes")
    entry = models.ForeignKey(Entry, on_delete=models.CASCADE, related_name="clashes")
    target = models.CharField(max_length=160)
    name = models.SlugField(max_length=24)
    label = models.CharField(max_length=240)
    standing = models.TextField(blank=True)
    standing_by = models.ForeignKey(WHO, on_delete=models.PROTECT, related_name="+", null=True)
    standing_at = models.DateTimeField(null=True)
    other = models.TextField(blank=True)
    other_by = models.ForeignKey(WHO, on_delete=models.PROTECT, related_name="+")
    other_at = models.DateTimeField()
    chosen = models.CharField(max_length=8, choices=Chosen.choices, blank=True, default="")
    settled_by = models.ForeignKey(
        WHO, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "clashes"
        constraints = [
            models.UniqueConstraint(fields=["entry", "name"], name="clash_once_an_entry"),
            models.CheckConstraint(
                name="clash_settled_says_how",
                condition=Q(chosen="", settled_at__isnull=True)
                | Q(chosen__in=["standing", "other"], settled_at__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.label}: “{self.standing}” or “{self.other}”"


class PhotoUpload(models.Model):
    """A photo on its way: how many of its bytes are here, and what it shows."""

    class State(models.TextChoices):
        RECEIVING = "receiving", "On its way"
        READY = "ready", "Here"
        REFUSED = "refused", "Not taken"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="photo_uploads")
    uid = models.UUIDField()
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="photo_uploads")
    by = models.ForeignKey(WHO, on_delete=models.PROTECT, related_name="+")
    purpose = models.CharField("what it belongs to", max_length=160)
    caption = models.CharField(max_length=120, blank=True)
    made_at = models.DateTimeField()
    size = models.PositiveIntegerField()
    digest = models.CharField("SHA-256 of the whole file", max_length=64)
    have = models.PositiveIntegerField("bytes here", default=0)
    state = models.CharField(max_length=9, choices=State.choices, default=State.RECEIVING)
    message = models.CharField(max_length=300, blank=True)
    photo = models.ForeignKey(
        Photo, on_delete=models.PROTECT, related_name="uploads", null=True, blank=True
    )

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["made_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "uid"], name="photo_upload_once"),
            models.CheckConstraint(
                name="photo_upload_ready_has_photo",
                condition=~Q(state="ready") | Q(photo__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return self.caption or f"photo {str(self.uid)[:8]}"


class Helper(models.Model):
    """Somebody who works a job beside its technician, and may answer its steps."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="helpers")
    user = models.ForeignKey(WHO, on_delete=models.PROTECT, related_name="helps")
    since = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["job", "pk"]
        constraints = [models.UniqueConstraint(fields=["job", "user"], name="helper_once_a_job")]

    def __str__(self) -> str:
        return f"{self.user} on {self.job}"


class Foreseen(LeasedRow):
    """Answers worked out before leaving: whether the plan stands, whatever may be found aboard."""

    job = models.OneToOneField(Job, on_delete=models.CASCADE, related_name="foreseen")
    digest = models.CharField("SHA-256 of case and plan", max_length=64)
    answers = models.JSONField(default=list)
    finder = models.JSONField("the fault finder's table", default=dict)

    objects = LeasedQuerySet.as_manager()

    class Meta(LeasedRow.Meta):
        ordering = ["job"]

    def __str__(self) -> str:
        return f"answers for {self.job}"
