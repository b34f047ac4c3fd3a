"""The customers room."""

from django.apps import AppConfig


class CustomersConfig(AppConfig):
    """The customers room as a Django app."""

    name = "shopapp.customers"
