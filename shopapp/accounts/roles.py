"""Moved: see shopapp.roles."""

from shopapp.roles import *  # noqa: F403
