"""The insights room."""

from django.apps import AppConfig


class InsightsConfig(AppConfig):
    """The insights room as a Django app."""

    name = "shopapp.insights"
