"""The jobs room."""

from django.apps import AppConfig


class JobsConfig(AppConfig):
    """The jobs room as a Django app."""

    name = "shopapp.jobs"
