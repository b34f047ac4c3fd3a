"""Statements drafted from known problems: evidence, what they would change, a second person."""

import pytest
from django.urls import reverse
from django.utils import timezone

from planner.models import Statement
from planner.statements.services import save_statement
from shopapp.errors import FactRefused, MoveRefused
from shopapp.fleet.at_risk import at_risk_of
from shopapp.fleet.drafting import confidence_of, draft_statement
from shopapp.fleet.models import Lesson
from shopapp.fleet.services import lessons
from shopapp.fleet.services.lessons import (
    accept_lesson,
    advance_lesson,
    decline_lesson,
    draft_lesson,
    work_out_again,
)
from tests.factories.jobs import lay_catalogue, make_quote


@pytest.fixture
def now(django_capture_on_commit_callbacks):
    """Do what waits for the commit."""
    return lambda: django_capture_on_commit_callbacks(execute=True)


@pytest.fixture
def known(fleet):
    """A pair that failed on three boats at 1.0, aboard two more, one of them of unknown release."""
    notes = [fleet.note(fleet.boat("plover 1.0", "heron")) for _ in range(3)]
    fleet.boat("plover 2.0", "heron")
    fleet.boat("plover", "heron")
    for _ in range(5):
        fleet.boat("plover 1.0")
    return fleet.known(*notes, counterpart=fleet.radar, cause="old broadcast format")


def drafted(known, by, now, **facts):
    statement, evidence = draft_statement(known, at_risk_of(known))
    statement.shop = known.shop
    statement.code, statement.text = "S-900", "Plover beside Heron from 2.0 on"
    for name, value in facts.items():
        setattr(statement, name, value)
    with now():
        return draft_lesson(known=known, statement=statement, evidence=evidence, by=by)


def test_the_draft_says_from_which_release_on_and_beside_what(known):
    statement, evidence = draft_statement(known, at_risk_of(known))
    assert statement.rule == {
        "only": {"models": ["plover"], "min_release": {"plover": "2.0"}},
        "of": {"models": ["plover"]},
        "when": {"models": ["heron"]},
    }
    assert (evidence["boats"], evidence["at_risk"]) == (3, 5)
    assert evidence["interval"] == "23.1 to 88.2 %"
    assert (statement.source_kind, statement.confidence) == ("own", "high")


def test_without_a_later_release_the_pair_is_kept_apart(fleet):
    known = fleet.known(fleet.note(release="2.0"), counterpart=fleet.radar)
    assert draft_statement(known, 1)[0].rule == {
        "at_most": 0,
        "of": {"models": ["plover"]},
        "when": {"models": ["heron"]},
    }


def test_a_withdrawn_release_is_no_way_out(fleet):
    fleet.display.releases.filter(name="2.0").update(withdrawn=True)
    assert "at_most" in draft_statement(fleet.known(fleet.note()), 1)[0].rule


@pytest.mark.parametrize(
    ("releases_known", "within_a_year", "sure"),
    [(True, 3, "high"), (True, 2, "medium"), (False, 9, "low")],
)
def test_how_sure_own_experience_is(releases_known, within_a_year, sure):
    facts = {"releases_known": releases_known, "within_a_year": within_a_year}
    assert confidence_of(facts) == sure


def test_what_it_would_change_is_shown_before_it_counts(known, manager, now):
    lesson = drafted(known, manager, now)
    lesson.refresh_from_db()
    counts = {name: lesson.impact[name] for name in ("in_service", "touched", "broken")}
    assert counts == {"in_service": 10, "touched": 5, "broken": 3}
    assert (lesson.impact["newly_wrong"], lesson.impact["not_known"]) == (3, 1)
    assert not Statement.objects.exists()


def test_open_and_sent_quotes_against_it_are_named(shop, fleet, manager, writer, now):
    lay_catalogue(shop)
    quote = make_quote(writer)
    known = fleet.known(fleet.note())
    rule = {"at_most": 1, "of": {"models": ["disp-r"]}}
    lesson = drafted(known, manager, now, rule=rule)
    lesson.refresh_from_db()
    assert (lesson.impact["quotes_open"], lesson.impact["quotes_sent"]) == ([quote.pk], [])
    type(quote).objects.filter(pk=quote.pk).update(state="sent", sent_at=timezone.now())
    with now():
        work_out_again(lesson=lesson)
    lesson.refresh_from_db()
    assert (lesson.impact["quotes_open"], lesson.impact["quotes_sent"]) == ([], [quote.pk])


def test_a_second_person_puts_it_in_force(known, manager, owner, now):
    lesson = drafted(known, manager, now)
    with pytest.raises(FactRefused, match="does not review it"):
        accept_lesson(lesson=lesson, by=manager)
    statement = accept_lesson(lesson=lesson, by=owner, note="Tried on the bench")
    lesson.refresh_from_db()
    assert statement in Statement.objects.in_force()
    assert (lesson.state, lesson.statement, lesson.reviewed_by) == ("accepted", statement, owner)
    assert "reviewed by Olga Quill" in statement.note
    with pytest.raises(MoveRefused, match="accepted already"):
        accept_lesson(lesson=lesson, by=owner)


def test_it_supersedes_the_older_statement(known, manager, owner, now):
    old = Statement(
        shop=known.shop, code="S-1", text="Old", source="Talk", confidence="low",
        seen=timezone.localdate(), rule={"at_most": 2, "of": {"models": ["plover"]}},
    )  # fmt: skip
    save_statement(statement=old, by=manager)
    statement = accept_lesson(lesson=drafted(known, manager, now, supersedes=old), by=owner)
    assert list(Statement.objects.in_force()) == [statement]


def test_superseding_what_was_superseded_meanwhile_is_refused(known, manager, owner, now):
    old = Statement(
        shop=known.shop, code="S-1", text="Old", source="Talk", confidence="low",
        seen=timezone.localdate(), rule={"at_most": 2, "of": {"models": ["plover"]}},
    )  # fmt: skip
    save_statement(statement=old, by=manager)
    first = drafted(known, manager, now, supersedes=old)
    second = drafted(known, manager, now, supersedes=old, code="S-901")
    accept_lesson(lesson=first, by=owner)
    with pytest.raises(FactRefused, match="superseded by S-900 already"):
        accept_lesson(lesson=second, by=owner)
    second.refresh_from_db()
    assert second.state == "draft"


def test_half_of_the_fleet_wrong_asks_twice_with_the_number(fleet, manager, owner, now):
    notes = [fleet.note(fleet.boat("plover 1.0", "heron")) for _ in range(3)]
    fleet.boat("plover 2.0", "heron")
    known = fleet.known(*notes, counterpart=fleet.radar)
    lesson = drafted(known, manager, now)
    with pytest.raises(FactRefused, match="3 of 4 boats in service would be wrong"):
        accept_lesson(lesson=lesson, by=owner)
    with pytest.raises(FactRefused) as refused:
        accept_lesson(lesson=lesson, by=owner, number=4)
    assert "write that number" in refused.value.todo
    assert not Statement.objects.exists()
    assert accept_lesson(lesson=lesson, by=owner, number=3).code == "S-900"


def test_nothing_is_accepted_before_it_is_worked_out(known, manager, owner, now, monkeypatch):
    monkeypatch.setattr(lessons, "SMALL_FLEET", 0)
    lesson = drafted(known, manager, now)
    with pytest.raises(MoveRefused, match="not worked out yet"):
        accept_lesson(lesson=lesson, by=owner)
    assert advance_lesson(lesson.pk)
    accept_lesson(lesson=lesson, by=owner)


def test_declining_asks_why_and_keeps_it(known, manager, owner, now):
    lesson = drafted(known, manager, now)
    with pytest.raises(FactRefused, match="Say why"):
        decline_lesson(lesson=lesson, by=owner, note=" ")
    decline_lesson(lesson=lesson, by=owner, note="Two of the three had a bad feed")
    lesson.refresh_from_db()
    assert (lesson.state, lesson.review_note) == ("declined", "Two of the three had a bad feed")
    assert not Statement.objects.exists()


def test_the_whole_way_by_pages(known, client_for, manager, owner, now):
    client = client_for(manager)
    page = client.get(reverse("fleet:lesson_draft", args=[known.pk]))
    assert "3 of 5 boats" in page.text
    form = page.context["form"]
    said = {
        "verb": "only", "code": form["code"].value(), "text": "", "source": form["source"].value(),
        "source_kind": "own", "confidence": "high", "seen": "2026-01-10",
    }  # fmt: skip
    for key, code, release in (("a", "plover", ""), ("b", "plover", "2.0"), ("w", "heron", "")):
        model = known.model if code == "plover" else known.counterpart
        said |= {
            f"{key}-scope": "named", f"{key}-models-TOTAL_FORMS": 1,
            f"{key}-models-INITIAL_FORMS": 0, f"{key}-models-0-model": model.pk,
            f"{key}-models-0-release": release,
        }  # fmt: skip
    with now():
        page = client.post(reverse("fleet:lesson_draft", args=[known.pk]), said)
    lesson = Lesson.objects.get()
    address = reverse("fleet:lesson", args=[lesson.pk])
    assert page.url == address
    shown = client.get(address).text
    assert "Boats that would not be right any more" in shown
    assert "another manager or the owner reviews it" in shown
    answer = reverse("fleet:lesson_answer", args=[lesson.pk])
    refused = client.post(answer, {"said": "accept"})
    assert refused.status_code == 422
    client_for(owner).post(answer, {"said": "accept", "note": "Seen"})
    assert "In force as" in client.get(address).text
    assert Statement.objects.in_force().get().rule == lesson.rule


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_of_drafts_takes_the_same_queries(
    known, client_for, manager, now, count, django_assert_num_queries
):
    for number in range(count):
        drafted(known, manager, now, code=f"S-{900 + number}")
    client = client_for(manager)
    with django_assert_num_queries(7):
        client.get(reverse("fleet:lessons"))


def test_drafts_are_for_those_who_edit_statements(
    known, client_for, writer, manager, stranger, now
):
    lesson = drafted(known, manager, now)
    draft = reverse("fleet:lesson_draft", args=[known.pk])
    assert client_for(writer).get(draft).status_code == 403
    answer = reverse("fleet:lesson_answer", args=[lesson.pk])
    assert client_for(writer).post(answer, {"said": "accept"}).status_code == 403
    address = reverse("fleet:lesson", args=[lesson.pk])
    assert client_for(stranger).get(address).status_code == 404
