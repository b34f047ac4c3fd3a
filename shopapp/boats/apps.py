"""The boats room."""

from importlib import import_module

from django.apps import AppConfig


class BoatsConfig(AppConfig):
    """The boats room as a Django app."""

    name = "shopapp.boats"

    def ready(self) -> None:
        """Make boats pickable, and keep owners' names in the search words."""
        import_module("shopapp.boats.picks")
        import_module("shopapp.boats.receivers")
