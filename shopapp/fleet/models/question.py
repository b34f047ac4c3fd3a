"""Questions about the fleet that people keep and share."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from shopapp.accounts.models import OfShop, Shop


class Question(models.Model):
    """A kept question: what was asked, which columns are shown, whether all may use it."""

    shop = models.ForeignKey(Shop, on_delete=models.CASCADE, related_name="questions")
    name = models.CharField(max_length=80)
    asked = models.CharField(max_length=2000, help_text="The question as an address has it.")
    shared = models.BooleanField("for everybody in the shop", default=False)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="questions"
    )
    kept_at = models.DateTimeField(default=timezone.now)

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["by", "name"],
                name="question_name_once_a_person",
                violation_error_message="You keep a question of this name already.",
            ),
        ]

    def __str__(self) -> str:
        return self.name
