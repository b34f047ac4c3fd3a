#!/usr/bin/env python
"""Run a management command of the refit desk."""

import os
import sys


def main() -> None:
    """Hand the command line to Django."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopapp.settings")
    from django.core.management import execute_from_command_line  # noqa: PLC0415 -- after the settings

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
