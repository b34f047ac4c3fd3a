"""The catalog room."""

from django.apps import AppConfig


class CatalogConfig(AppConfig):
    """The catalog room as a Django app."""

    name = "shopapp.catalog"
