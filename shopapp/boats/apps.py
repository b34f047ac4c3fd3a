"""The boats room."""

from django.apps import AppConfig


class BoatsConfig(AppConfig):
    """The boats room as a Django app."""

    name = "shopapp.boats"
