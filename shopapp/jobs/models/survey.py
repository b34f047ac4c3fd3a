"""Survey sheets: what to look at on this boat for this wish, and what was found."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from planner.models import PlanRun
from shopapp.accounts.models import OfShop, Shop
from shopapp.boats.models import Boat, How, Photo
from shopapp.jobs.models.quote import Enquiry, Quote


class Survey(models.Model):
    """One visit's sheet, made for one boat and one wish."""

    class State(models.TextChoices):
        OPEN = "open", "Open"
        DONE = "done", "Done"
        DROPPED = "dropped", "Dropped"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="surveys")
    number = models.CharField(max_length=20)
    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="surveys")
    enquiry = models.ForeignKey(
        Enquiry, on_delete=models.PROTECT, related_name="surveys", null=True, blank=True
    )
    quote = models.ForeignKey(
        Quote, on_delete=models.PROTECT, related_name="surveys", null=True, blank=True
    )
    run = models.ForeignKey(
        PlanRun, on_delete=models.PROTECT, related_name="surveys", null=True, blank=True
    )
    wish = models.TextField("what the customer wishes", blank=True)
    desk = models.JSONField(default=list, help_text="What the desk finds out without the boat.")
    state = models.CharField(max_length=7, choices=State.choices, default=State.OPEN)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    made_at = models.DateTimeField(default=timezone.now)
    done_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    done_at = models.DateTimeField(null=True, blank=True)

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        indexes = [models.Index(fields=["shop", "state", "-made_at"])]
        constraints = [
            models.UniqueConstraint(fields=["shop", "number"], name="survey_number_once"),
            models.CheckConstraint(
                name="survey_state_known", condition=Q(state__in=["open", "done", "dropped"])
            ),
            models.CheckConstraint(
                name="survey_done_by_somebody",
                condition=~Q(state="done") | Q(done_by__isnull=False, done_at__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return self.number


class SurveyItem(models.Model):
    """One thing to look at: the question, where its answer belongs, and the answer.

    `slot`, `subject` and `fact` name the record's place: `unit`, its number, `release`.
    """

    class Form(models.TextChoices):
        CHOICE = "choice", "one of a list"
        NUMBER = "number", "a figure"
        WORDS = "words", "words"
        PHOTO = "photo", "a photo"

    class State(models.TextChoices):
        OPEN = "open", "Open"
        ANSWERED = "answered", "Answered"
        COULD_NOT = "could_not", "Could not be seen"

    survey = models.ForeignKey(Survey, on_delete=models.CASCADE, related_name="items")
    position = models.PositiveSmallIntegerField()
    key = models.CharField(max_length=160)
    group = models.CharField(max_length=40)
    question = models.CharField(max_length=200)
    why = models.TextField(blank=True)
    worth = models.CharField("what it is worth to know", max_length=200, blank=True)
    decides = models.BooleanField("decides whether it works", default=False)
    slot = models.CharField(max_length=10)
    subject = models.PositiveBigIntegerField()
    fact = models.CharField(max_length=40)
    form = models.CharField(max_length=6, choices=Form.choices)
    unit = models.CharField("unit of the figure", max_length=10, blank=True)
    choices = models.JSONField(default=list)
    state = models.CharField(max_length=9, choices=State.choices, default=State.OPEN)
    answer = models.CharField(max_length=200, blank=True)
    how = models.CharField(max_length=8, choices=How.choices, blank=True)
    seen_at = models.DateTimeField(null=True, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    photo = models.ForeignKey(
        Photo, on_delete=models.PROTECT, related_name="survey_items", null=True, blank=True
    )
    note = models.CharField(max_length=200, blank=True)
    disputed = models.BooleanField("differs from stronger evidence", default=False)

    class Meta:
        ordering = ["survey", "position"]
        constraints = [
            models.UniqueConstraint(fields=["survey", "key"], name="survey_item_once"),
            models.CheckConstraint(
                name="survey_item_state_known",
                condition=Q(state__in=["open", "answered", "could_not"]),
            ),
            models.CheckConstraint(
                name="survey_item_answer_says_who",
                condition=Q(state="open") | Q(by__isnull=False, seen_at__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return self.question
