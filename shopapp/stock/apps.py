"""The stock room."""

from django.apps import AppConfig


class StockConfig(AppConfig):
    """The stock room as a Django app."""

    name = "shopapp.stock"
