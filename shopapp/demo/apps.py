"""The demo room."""

from django.apps import AppConfig


class DemoConfig(AppConfig):
    """The demo room as a Django app."""

    name = "shopapp.demo"
