"""The fleet room."""

from importlib import import_module

from django.apps import AppConfig


class FleetConfig(AppConfig):
    """The fleet room as a Django app."""

    name = "shopapp.fleet"

    def ready(self) -> None:
        """Make known problems pickable, and counts known to the workers."""
        import_module("shopapp.fleet.picks")
        import_module("shopapp.fleet.work")
