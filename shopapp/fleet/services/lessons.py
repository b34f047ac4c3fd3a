"""Statements drafted from known problems: what they would change, reviewed, put in force."""

from typing import Any

from django.db import transaction
from django.utils import timezone

from planner.models import Statement
from planner.statements.services import check_supersedes, save_statement
from shopapp.accounts.models import User
from shopapp.boats.models import Boat
from shopapp.errors import FactRefused, MoveRefused
from shopapp.fleet.impact import impact_of
from shopapp.fleet.models import KnownProblem, Lesson
from shopapp.work.models import RowState
from shopapp.work.runner import advance
from shopapp.work.services import ring

KIND = "fleet_lesson"
FACTS = ("code", "text", "source_kind", "source", "page", "confidence", "note")
SMALL_FLEET = 2000


@transaction.atomic
def draft_lesson(
    *, known: KnownProblem, statement: Statement, evidence: dict[str, Any], by: User
) -> Lesson:
    """Keep a draft and ask what it would change; FactRefused where it cannot supersede."""
    check_supersedes(statement=statement, old=statement.supersedes)
    facts = {name: getattr(statement, name) for name in FACTS}
    lesson = Lesson.objects.create(
        shop=known.shop,
        known=known,
        facts=facts | {"seen": statement.seen.isoformat()},
        rule=statement.rule,
        supersedes=statement.supersedes,
        evidence=evidence,
        drafted_by=by,
    )
    transaction.on_commit(lambda: _begin(lesson))
    return lesson


def _begin(lesson: Lesson) -> None:
    """Work it out at once for a small fleet, by the worker for a large one."""
    if Boat.objects.of(lesson.shop_id).current().order_by().count() <= SMALL_FLEET:
        advance_lesson(lesson.pk)
    else:
        ring(KIND, lesson.pk)


def advance_lesson(pk: int) -> bool:
    """Work out what one draft would change; whether this call finished it."""
    return advance(rows=Lesson.objects.all(), pk=pk, make=_make)


def _make(lesson: Lesson) -> dict[str, object]:
    old = lesson.supersedes.rule if lesson.supersedes else None
    return {"impact": impact_of(shop=lesson.shop, rule=lesson.rule, old=old)}


def work_out_again(*, lesson: Lesson) -> None:
    """The records changed: work out anew what a draft would change."""
    _check_draft(lesson)
    Lesson.objects.filter(pk=lesson.pk).exclude(row_state=RowState.RUNNING).update(
        row_state=RowState.REQUESTED, impact=None, tries=0, reason="", finished_at=None,
        rung_at=None,
    )  # fmt: skip
    _begin(lesson)


def hits_half(lesson: Lesson) -> bool:
    """Whether half of the boats in service or more would be wrong."""
    impact = lesson.impact or {}
    return bool(impact.get("broken")) and 2 * impact["broken"] >= impact["in_service"]


@transaction.atomic
def accept_lesson(
    *, lesson: Lesson, by: User, note: str = "", number: int | None = None, clash: bool = False
) -> Statement:
    """A second person puts the draft in force.

    MoveRefused while nobody knows what it would change. FactRefused where the drafter accepts
    their own, and, where half of the fleet would be wrong, until that `number` is written down.
    """
    lesson = Lesson.objects.select_for_update(of=("self",)).get(pk=lesson.pk)
    _check_draft(lesson)
    _check_second(lesson, by)
    if lesson.impact is None:
        raise MoveRefused(
            "What it would change is not worked out yet.", todo="Wait until the page shows it."
        )
    if hits_half(lesson) and number != lesson.impact["broken"]:
        raise FactRefused(
            f"{lesson.impact['broken']} of {lesson.impact['in_service']} boats in service would be "
            "wrong at once, half of the fleet or more.",
            field="number",
            todo="If that is meant, write that number of boats and accept again.",
        )
    statement = _in_force(lesson, by, note, clash=clash)
    _close(lesson, Lesson.State.ACCEPTED, by, note, statement)
    return statement


def _in_force(lesson: Lesson, by: User, note: str, *, clash: bool) -> Statement:
    facts = dict(lesson.facts)
    told = f"{facts.pop('note', '')}\nDrafted by {lesson.drafted_by}, reviewed by {by}. {note}"
    statement = Statement(
        shop=lesson.shop,
        rule=lesson.rule,
        supersedes=lesson.supersedes,
        seen=facts.pop("seen"),
        note=told.strip(),
        **facts,
    )
    statement.clean_fields(exclude=["search", "entered_by"])
    return save_statement(statement=statement, by=lesson.drafted_by, accept_clash=clash)


@transaction.atomic
def decline_lesson(*, lesson: Lesson, by: User, note: str) -> None:
    """A second person turns the draft down, and says why."""
    if not note.strip():
        raise FactRefused("Say why it is declined.", field="note")
    lesson = Lesson.objects.select_for_update(of=("self",)).get(pk=lesson.pk)
    _check_draft(lesson)
    _check_second(lesson, by)
    _close(lesson, Lesson.State.DECLINED, by, note, None)


def _check_draft(lesson: Lesson) -> None:
    if lesson.state != Lesson.State.DRAFT:
        raise MoveRefused(f"This draft was {lesson.get_state_display().lower()} already.")


def _check_second(lesson: Lesson, by: User) -> None:
    if by.pk == lesson.drafted_by_id:
        raise FactRefused(
            "Whoever drafted it does not review it.", todo="Ask another manager or the owner."
        )


def _close(lesson: Lesson, state: str, by: User, note: str, statement: Statement | None) -> None:
    lesson.state, lesson.statement = state, statement
    lesson.reviewed_by, lesson.reviewed_at = by, timezone.now()
    lesson.review_note = note.strip()[:300]
    lesson.save()
