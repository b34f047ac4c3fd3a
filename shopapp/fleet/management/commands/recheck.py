"""Check every boat in service against the statements in force."""

from typing import Any

from django.core.management.base import BaseCommand

from shopapp.accounts.models import Shop
from shopapp.fleet.services.rechecks import recheck_all


class Command(BaseCommand):
    help = "Ask for a check of every boat; the workers make it. For a nightly timer."

    def handle(self, *args: Any, **options: Any) -> None:
        for shop in Shop.objects.all():
            row = recheck_all(shop=shop, why="All boats, by the clock")
            total = sum(part.total for part in row.parts.all()) if row else 0
            self.stdout.write(f"{shop}: {total} boats to check.")
