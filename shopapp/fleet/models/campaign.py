"""Bulletins, and the campaigns that call their boats in: who was told, what each boat needs."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Count, F, Q
from django.utils import timezone
from simple_history.models import HistoricalRecords

from planner.models import Statement
from shopapp.accounts.models import OfShop, Shop
from shopapp.boats.models import Boat
from shopapp.catalog.models import EquipmentModel, Part, Release
from shopapp.jobs.models import Job, Quote
from shopapp.work.models import LeasedQuerySet, LeasedRow


def _names_what_it_is_about() -> Q:
    firmware = Q(kind__in=["withdrawn", "urged"], release__isnull=False)
    return (
        firmware | Q(kind="recalled", part__isnull=False) | Q(kind="rule", statement__isnull=False)
    )


class Bulletin(models.Model):
    """What a maker or the shop itself says must be done to boats in service."""

    class Kind(models.TextChoices):
        WITHDRAWN = "withdrawn", "Release withdrawn"
        URGED = "urged", "Update urged"
        RECALLED = "recalled", "Part recalled"
        RULE = "rule", "Rule changed"

    class Payer(models.TextChoices):
        MAKER = "maker", "The maker"
        SHOP = "shop", "The shop"
        CUSTOMER = "customer", "The customer"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="bulletins")
    number = models.CharField(max_length=20)
    kind = models.CharField(max_length=9, choices=Kind.choices)
    title = models.CharField("in a few words", max_length=120)
    source = models.CharField("who says so, and where", max_length=160)
    issued_on = models.DateField("issued on")
    release = models.ForeignKey(
        Release, on_delete=models.PROTECT, related_name="bulletins", null=True, blank=True
    )
    target = models.ForeignKey(
        Release, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    part = models.ForeignKey(
        Part, on_delete=models.PROTECT, related_name="bulletins", null=True, blank=True
    )
    serial_from = models.CharField(max_length=60, blank=True)
    serial_to = models.CharField(max_length=60, blank=True)
    replace_by = models.ForeignKey(
        EquipmentModel, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    statement = models.ForeignKey(
        Statement, on_delete=models.PROTECT, related_name="bulletins", null=True, blank=True
    )
    minutes = models.PositiveSmallIntegerField(
        "minutes a piece", default=0, help_text="To exchange a part that the plan does not know."
    )
    remedy = models.CharField("what is to be done", max_length=300, blank=True)
    payer = models.CharField(max_length=8, choices=Payer.choices, default=Payer.MAKER)
    safety = models.BooleanField("can hurt someone", default=False)
    due_on = models.DateField("to be done by", null=True, blank=True)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    entered_at = models.DateTimeField(default=timezone.now)
    history = HistoricalRecords()

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["-entered_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "number"], name="bulletin_number_once_a_shop"),
            models.CheckConstraint(
                name="bulletin_names_what_it_is_about", condition=_names_what_it_is_about()
            ),
            models.CheckConstraint(
                name="bulletin_payer_known",
                condition=Q(payer__in=["maker", "shop", "customer"]),
            ),
            models.CheckConstraint(
                name="bulletin_due_after_issue",
                condition=Q(due_on__isnull=True) | Q(due_on__gte=F("issued_on")),
                violation_error_message="It cannot be due before it was issued.",
            ),
            models.CheckConstraint(
                name="bulletin_serials_both_or_none",
                condition=Q(serial_from="", serial_to="") | (~Q(serial_from="") & ~Q(serial_to="")),
                violation_error_message="Give both ends of the serial numbers, or none.",
            ),
            models.CheckConstraint(
                name="bulletin_does_not_send_to_what_is_withdrawn",
                condition=~Q(kind="withdrawn") | Q(target__isnull=True) | ~Q(target=F("release")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.title}"


class CampaignQuerySet(OfShop):
    """Questions about campaigns."""

    def running(self) -> Self:
        """Those that nobody closed."""
        return self.filter(closed_at__isnull=True)


class Campaign(models.Model):
    """The work of calling in the boats of one bulletin."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="campaigns")
    bulletin = models.OneToOneField(Bulletin, on_delete=models.PROTECT, related_name="campaign")
    opened_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    opened_at = models.DateTimeField(default=timezone.now)
    found_at = models.DateTimeField(null=True, blank=True)
    looked_at = models.PositiveIntegerField("boats looked at", default=0)
    cleared = models.PositiveIntegerField("boats found free of it", default=0)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_note = models.CharField(max_length=300, blank=True)

    objects = CampaignQuerySet.as_manager()

    class Meta:
        ordering = ["-opened_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="campaign_closed_with_a_reason",
                condition=Q(closed_at__isnull=True) | ~Q(closed_note=""),
            ),
        ]

    def __str__(self) -> str:
        return str(self.bulletin)


class CampaignBoatQuerySet(models.QuerySet):
    """Questions about the boats of campaigns."""

    def in_scope(self) -> Self:
        """Affected or to be checked; not those that were found free of it."""
        return self.exclude(finding=CampaignBoat.Finding.CLEARED)

    def left(self) -> Self:
        """In scope, and not at an end."""
        return self.in_scope().exclude(state__in=CampaignBoat.ENDED)

    def by_state(self) -> dict[str, int]:
        """How many stand where; one query."""
        rows = self.in_scope().order_by().values_list("state")
        return dict(rows.annotate(Count("pk")))


class CampaignBoat(models.Model):
    """One boat of a campaign: how sure it is, what it needs, who was told, what came of it."""

    class Finding(models.TextChoices):
        AFFECTED = "affected", "Affected"
        TO_CHECK = "to_check", "To be checked"
        CLEARED = "cleared", "Cleared"

    class State(models.TextChoices):
        NOT_TOLD = "not_told", "To be called"
        TOLD = "told", "Told"
        CHECKED = "checked", "Checked aboard"
        BOOKED = "booked", "Booked"
        DONE = "done", "Done"
        DECLINED = "declined", "Declined in writing"
        SOLD = "sold", "Sold"
        LOST = "lost", "Unreachable"

    ENDED = ("done", "declined", "sold", "lost")

    campaign = models.ForeignKey(Campaign, on_delete=models.CASCADE, related_name="boats")
    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="campaigns")
    finding = models.CharField(max_length=8, choices=Finding.choices)
    units = models.JSONField(default=list, help_text="Each: [short name, what was found].")
    why = models.CharField("why it is not sure", max_length=300, blank=True)
    state = models.CharField(max_length=8, choices=State.choices, default=State.NOT_TOLD)
    agreed = models.CharField("who said yes", max_length=120, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    told_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_note = models.CharField(max_length=300, blank=True)
    needs = models.JSONField(null=True, blank=True, help_text="Steps, updates, work, words.")
    needs_fault = models.CharField(max_length=300, blank=True)
    minutes = models.PositiveIntegerField(null=True, blank=True)
    quote = models.OneToOneField(
        Quote, on_delete=models.PROTECT, related_name="campaign_boat", null=True, blank=True
    )
    job = models.OneToOneField(
        Job, on_delete=models.PROTECT, related_name="campaign_boat", null=True, blank=True
    )

    objects = CampaignBoatQuerySet.as_manager()

    class Meta:
        ordering = ["campaign", "boat__name", "pk"]
        indexes = [
            models.Index(fields=["campaign", "state", "finding"]),
            models.Index(fields=["boat", "state"]),
        ]
        constraints = [
            models.UniqueConstraint(fields=["campaign", "boat"], name="boat_once_a_campaign"),
            models.CheckConstraint(
                name="campaign_boat_finding_known",
                condition=Q(finding__in=["affected", "to_check", "cleared"]),
            ),
            models.CheckConstraint(
                name="campaign_boat_state_known",
                condition=Q(
                    state__in=[
                        "not_told", "told", "checked", "booked", "done", "declined", "sold", "lost",
                    ]
                ),
            ),
            models.CheckConstraint(
                name="campaign_boat_ended_when_and_why",
                condition=Q(state__in=["done", "declined", "sold", "lost"], ended_at__isnull=False)
                & (Q(state="done") | ~Q(ended_note=""))
                | Q(state__in=["not_told", "told", "checked", "booked"], ended_at__isnull=True),
            ),
            models.CheckConstraint(
                name="campaign_boat_booked_has_job",
                condition=~Q(state="booked") | Q(job__isnull=False),
            ),
            models.CheckConstraint(
                name="campaign_boat_lost_after_three_tries",
                condition=~Q(state="lost") | Q(tries__gte=3),
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"{self.boat} in {self.campaign}"

    @property
    def is_ended(self) -> bool:
        """Whether nothing more is to be done for it."""
        return self.state in self.ENDED or self.finding == self.Finding.CLEARED


class CampaignNeed(models.Model):
    """A part that a boat of a campaign needs, and how many."""

    row = models.ForeignKey(CampaignBoat, on_delete=models.CASCADE, related_name="parts")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    count = models.PositiveIntegerField()

    class Meta:
        ordering = ["row", "part__number"]
        constraints = [
            models.UniqueConstraint(fields=["row", "part"], name="campaign_need_once"),
            models.CheckConstraint(name="campaign_need_counts", condition=Q(count__gte=1)),
        ]

    def __str__(self) -> str:
        return f"{self.count} × {self.part}"


class CampaignEntry(models.Model):
    """What happened with a boat of a campaign: a try to reach the owner, an answer, a move."""

    class Way(models.TextChoices):
        NONE = "", "No call"
        PHONE = "phone", "Phone"
        TEXT = "text", "Text message"
        EMAIL = "email", "E-mail"
        LETTER = "letter", "Letter by post"
        PERSON = "person", "In person"

    row = models.ForeignKey(CampaignBoat, on_delete=models.CASCADE, related_name="entries")
    way = models.CharField(max_length=6, choices=Way.choices, blank=True)
    before = models.CharField(max_length=8, choices=CampaignBoat.State.choices)
    after = models.CharField(max_length=8, choices=CampaignBoat.State.choices)
    note = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="campaign_entry_says_something",
                condition=~Q(way="") | ~Q(before=F("after")) | ~Q(note=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_after_display()} {self.at:%Y-%m-%d}"


class CampaignWorkQuerySet(LeasedQuerySet, OfShop):
    """Questions about a campaign's work."""


class CampaignWork(LeasedRow):
    """A press of a button that goes over many boats: what one worker takes at a time."""

    class What(models.TextChoices):
        FIND = "find", "Finding the boats"
        NEEDS = "needs", "Working out what each needs"
        LETTERS = "letters", "Writing letters"
        JOBS = "jobs", "Making quotes and jobs"

    shop = models.ForeignKey(Shop, on_delete=models.CASCADE, related_name="+")
    campaign = models.ForeignKey(Campaign, on_delete=models.CASCADE, related_name="works")
    what = models.CharField(max_length=7, choices=What.choices)
    rows = models.JSONField("numbers of the campaign's boats", default=list)
    total = models.PositiveIntegerField(default=0)
    made = models.PositiveIntegerField(default=0)
    left_out = models.JSONField(default=list, help_text="Each: [boat's name, why].")
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )

    objects = CampaignWorkQuerySet.as_manager()

    class Meta(LeasedRow.Meta):
        ordering = ["-requested_at", "-pk"]
        constraints = [
            *LeasedRow.Meta.constraints,
            models.CheckConstraint(
                name="campaign_work_known",
                condition=Q(what__in=["find", "needs", "letters", "jobs"]),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_what_display()}: {self.campaign}"
