"""A job on a technician's day, and tablets that take it along: fixtures of the tablet's tests."""

import pytest

from shopapp.jobs.services.scheduling import schedule_job
from shopapp.tablet.models import Foreseen
from shopapp.tablet.services.foreseeing import advance_foreseen, ask_foreseen
from tests.browser.tablet_hands import take_along
from tests.factories.accounts import PASSWORD, ShopFactory, UserFactory
from tests.jobs.work_world import Works, tomorrow


@pytest.fixture
def works(transactional_db, settings, tmp_path):
    """A job on the technician's day, its answers worked out before leaving."""
    settings.MEDIA_ROOT = tmp_path / "media"
    shop = ShopFactory(name="Tidewater Test Bench")
    writer = UserFactory(shop=shop, username="wanda", full_name="Wanda Pell", role="writer")
    technician = UserFactory(shop=shop, username="theo", full_name="Theo Marsh", role="technician")
    for user in (writer, technician):
        user.set_password(PASSWORD)
        user.save()
    made = Works(shop, writer, technician)
    schedule_job(job=made.job, technician=technician, day=tomorrow(), by=writer)
    advance_foreseen(ask_foreseen(made.job).pk)
    assert Foreseen.objects.get().row_state == "ready"
    return made


@pytest.fixture
def new_tablet(browser, live_server):
    """Opens tablets; at the end none may have complained of more than a cut line."""
    contexts, complaints = [], []

    def listen(message):
        told = message.type == "error" and "net::ERR_" not in message.text
        refused = any(f"responded with a status of {one}" in message.text for one in ("4", "502"))
        if told and not refused:
            complaints.append(message.text)

    def opened(scheme="light", width=820):
        context = browser.new_context(
            viewport={"width": width, "height": 1180},
            color_scheme=scheme,
            base_url=live_server.url,
        )
        contexts.append(context)
        page = context.new_page()
        page.on("console", listen)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.set_default_timeout(45_000)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.fixture
def tablet(new_tablet, works):
    """A page at the tablet's width with the job on it."""
    page = new_tablet()
    take_along(page, works.technician)
    return page
