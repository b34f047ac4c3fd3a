"""The customers room."""

from importlib import import_module

from django.apps import AppConfig


class CustomersConfig(AppConfig):
    """The customers room as a Django app."""

    name = "shopapp.customers"

    def ready(self) -> None:
        """Make customers pickable."""
        import_module("shopapp.customers.picks")
