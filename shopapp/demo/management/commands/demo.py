"""Make the demo shop: any number of boats, the same for the same seed."""

from argparse import ArgumentParser
from datetime import date
from random import Random
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connection, transaction
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.demo.campaigns import make_campaigns
from shopapp.demo.catalogue import make_catalogue
from shopapp.demo.fleet import make_fleet
from shopapp.demo.history import make_history
from shopapp.demo.learnt import make_learnt
from shopapp.demo.people import (
    PASSWORD,
    PEOPLE,
    SHOP_NAME,
    make_people,
    make_shop,
    make_taxes,
)
from shopapp.demo.reading import read_catalogue
from shopapp.demo.store import make_store
from shopapp.demo.tablet import make_tablet


class Command(BaseCommand):
    help = "Fill an empty database with an invented shop, its boats and two years of jobs."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--boats", type=int, default=60, help="how many boats (60)")
        parser.add_argument("--seed", type=int, default=1, help="same seed, same demo (1)")
        parser.add_argument(
            "--as-of", type=date.fromisoformat, help="the demo's today, as 2026-11-25 (today)"
        )
        parser.add_argument("--if-empty", action="store_true", help="do nothing if a shop is there")
        parser.add_argument("--logins", action="store_true", help="only print the demo's logins")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["logins"]:
            self.print_logins()
            return
        if Shop.objects.exists():
            if options["if_empty"]:
                return
            raise CommandError(
                "There is a shop already; the demo only fills an empty database. "
                "Set DESK_DATA_DIR or DESK_DATABASE_URL to a new place for a second one."
            )
        if settings.PRODUCTION:
            raise CommandError("The demo's logins are public: it is not made in production.")
        if not 1 <= options["boats"] <= 1_000_000:
            raise CommandError("--boats takes a number from 1 to 1,000,000.")
        self.make(options)

    def make(self, options: dict[str, Any]) -> None:
        """Everything, in the order in which it leans on each other."""
        random = Random(options["seed"])  # noqa: S311 -- a demo, not a secret
        today = options["as_of"] or timezone.localdate()
        with transaction.atomic():
            shop = make_shop()
            people = make_people(shop)
            make_taxes(shop, today)
            make_catalogue(shop=shop, by=people["marta"], today=today, random=random)
            catalogue = read_catalogue(shop=shop, by=people["tobin"], today=today)
            make_fleet(shop=shop, catalogue=catalogue, boats=options["boats"], random=random)
        make_history(shop=shop, people=people, today=today, random=random)
        make_store(shop=shop, people=people, today=today, random=random)
        make_learnt(shop=shop, people=people)
        make_campaigns(shop=shop, people=people, today=today)
        make_tablet(shop=shop, people=people)
        self.tidy()
        self.stdout.write(f"{SHOP_NAME}: {options['boats']} boats made.")

    def tidy(self) -> None:
        """After so many rows PostgreSQL's planner must count anew."""
        if connection.vendor == "postgresql" and not connection.in_atomic_block:
            with connection.cursor() as cursor:
                cursor.execute("VACUUM (ANALYZE)")

    def print_logins(self) -> None:
        """The logins, one a line, where the demo's people are there."""
        names = {username for username, _name, _role in PEOPLE}
        there = set(User.objects.filter(username__in=names).values_list("username", flat=True))
        if not there:
            return
        self.stdout.write(f"Demo logins (password {PASSWORD} for each):")
        for username, name, role in PEOPLE:
            if username in there:
                self.stdout.write(f"  {username:8} {name}, {role.label.lower()}")
