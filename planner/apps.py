"""The planner room."""

from django.apps import AppConfig


class PlannerConfig(AppConfig):
    """The planner as a Django app; its engine knows nothing of Django."""

    name = "planner"
