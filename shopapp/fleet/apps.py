"""The fleet room."""

from importlib import import_module

from django.apps import AppConfig


class FleetConfig(AppConfig):
    """The fleet room as a Django app."""

    name = "shopapp.fleet"

    def ready(self) -> None:
        """Make known problems pickable, counts known to the workers, and listen for changes."""
        import_module("shopapp.fleet.picks")
        import_module("shopapp.fleet.work")
        import_module("shopapp.fleet.listening").listen()
