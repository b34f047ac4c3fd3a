"""Three notes become a problem, a statement, a bulletin, jobs; the next quote obeys it."""

import pytest
from django.db import connection
from django.utils import timezone

from planner.services import start_plan
from shopapp.boats.models import Boat
from shopapp.fleet.at_risk import at_risk_of
from shopapp.fleet.drafting import draft_statement
from shopapp.fleet.services.calling import note_answer
from shopapp.fleet.services.campaigns import ask_work, rows_for
from shopapp.fleet.services.lessons import accept_lesson, draft_lesson
from shopapp.jobs.models import Job
from shopapp.jobs.services.quotes import create_quote
from tests.factories.jobs import lay_catalogue
from tests.fleet.campaign_world import campaign, lead_on, seen

PAIR = ("plover 1.0", "heron 3.0")


@pytest.fixture
def now(django_capture_on_commit_callbacks):
    """Do what waits for the commit; what earlier lines of the test left waiting is forgotten."""

    def begin():
        connection.run_on_commit = []
        return django_capture_on_commit_callbacks(execute=True)

    return begin


def pair(fleet) -> Boat:
    boat = fleet.boat(*PAIR)
    for fact in ("release", "model", "networked"):
        seen(boat, fact=fact)
    return boat


def test_from_three_notes_to_the_next_quote(fleet, shop, manager, owner, now):
    lay_catalogue(shop)
    lead_on(fleet)
    boats = [pair(fleet) for _ in range(3)]
    for _ in range(5):
        fleet.boat("plover 2.0")
    known = fleet.known(*[fleet.note(boat) for boat in boats], counterpart=fleet.radar)
    statement, evidence = draft_statement(known, at_risk_of(known))
    statement.shop, statement.code, statement.text = shop, "S-900", "Plover from 2.0 by Heron"
    with now():
        lesson = draft_lesson(known=known, statement=statement, evidence=evidence, by=manager)
    lesson.refresh_from_db()
    assert lesson.impact["newly_wrong"] == 3
    made = accept_lesson(lesson=lesson, by=owner)
    with now():
        running = campaign(
            fleet, manager, kind="rule", statement=made, release=None, payer="shop",
            issued_on=timezone.localdate(),
        )  # fmt: skip
    assert set(running.boats.values_list("boat", "finding")) == {
        (boat.pk, "affected") for boat in boats
    }
    assert [name for name, *_ in running.boats.first().units] == ["u0", "u1"]
    assert {row.needs["updates"][0] for row in running.boats.all()} == {"u0: 1.0 → 2.0"}
    for row in running.boats.all():
        note_answer(row=row, said="yes", by=manager, seen="not_told", way="phone", name="Rita")
    with now():
        ask_work(campaign=running, what="jobs", rows=rows_for(running, "jobs"), by=manager)
    assert Job.objects.filter(campaign_boat__campaign=running, state="waiting").count() + (
        Job.objects.filter(campaign_boat__campaign=running, state="ready").count()
    ) == 3  # fmt: skip

    late = pair(fleet)
    wishes = {"requests": [{"id": "wish-1", "kind": "keep", "device": "u1"}]}
    quote = create_quote(run=start_plan(boat=late, wishes=wishes, by=manager), by=manager)
    for option in quote.options.all():
        aboard = {unit["unit"]: unit for unit in option.plan["units"]}
        beside = aboard["u0"]["networked"] and aboard["u1"]["networked"]
        assert not beside or aboard["u0"]["release"] == "2.0"
