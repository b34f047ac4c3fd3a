"""The api room."""

from django.apps import AppConfig


class ApiConfig(AppConfig):
    """The api room as a Django app."""

    name = "shopapp.api"
