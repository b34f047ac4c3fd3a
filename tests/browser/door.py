"""Which browser the tests drive, and how a person comes in."""

import os

from playwright.sync_api import Page

from shopapp.accounts.models import User
from tests.factories.accounts import PASSWORD

CHROMIUM = os.environ.get("DESK_TEST_BROWSER", "/usr/bin/chromium")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-dev-shm-usage",
]


def sign_in(page: Page, user: User, password: str = PASSWORD) -> None:
    """Through the door like everybody else."""
    page.goto("/sign-in/")
    page.get_by_label("Sign-in name").fill(user.username)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_load_state()
