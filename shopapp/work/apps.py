"""The work room."""

from django.apps import AppConfig


class WorkConfig(AppConfig):
    """The work room as a Django app."""

    name = "shopapp.work"
