"""The ui room."""

from django.apps import AppConfig


class UiConfig(AppConfig):
    """The ui room as a Django app."""

    name = "shopapp.ui"
