"""`manage.py expire_quotes`: let quotes run out whose last day is over."""

from typing import Any

from django.core.management.base import BaseCommand

from shopapp.jobs.services.sending import expire_quotes


class Command(BaseCommand):
    help = "Lets sent quotes run out whose last day is over."

    def handle(self, *args: Any, **options: Any) -> None:
        self.stdout.write(f"{expire_quotes()} quotes ran out.")
