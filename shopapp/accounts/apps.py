"""The accounts room."""

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    """The accounts room as a Django app."""

    name = "shopapp.accounts"
