"""Before each start, in one process: migrate, fill an empty database, print the demo's logins."""

import os
import sys
from pathlib import Path

import django
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor


def tables_wait() -> bool:
    """Whether there are migrations to apply: a new database takes half a minute, so say so."""
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def main() -> None:
    """Migrate first: the demo looks for a shop in the tables."""
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopapp.settings")
    django.setup()
    call_command("migrate", verbosity=1 if tables_wait() else 0)
    call_command("demo", if_empty=True)
    call_command("demo", logins=True)


if __name__ == "__main__":
    main()
