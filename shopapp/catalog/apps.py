"""The catalog room."""

from importlib import import_module

from django.apps import AppConfig


class CatalogConfig(AppConfig):
    """The catalog room as a Django app."""

    name = "shopapp.catalog"

    def ready(self) -> None:
        """Offer the catalogue to type-ahead fields."""
        import_module("shopapp.catalog.picks")
