"""The first draft of a statement from a known problem: rule, words, source, confidence, counts."""

from datetime import timedelta
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone

from planner.models import Statement
from shopapp.catalog.models import Release
from shopapp.fleet.figures import percent, wilson
from shopapp.fleet.known_queries import notes_of
from shopapp.fleet.models import KnownProblem
from shopapp.jobs.models import Problem

HIGH_FROM_BOATS = 3


def draft_rule(known: KnownProblem, notes: QuerySet[Problem]) -> dict[str, Any]:
    """The rule that the notes point at; {} where they name no model.

    With a release behind the last one that failed: only from there on. Else the model is not put
    on a network together with its counterpart; alone it is not put on one at all.
    """
    if known.model is None:
        return {}
    code = known.model.code
    rule: dict[str, Any] = {"at_most": 0, "of": {"models": [code]}}
    better = next_release(known, notes)
    if better is not None:
        only = {"models": [code], "min_release": {code: better.name}}
        rule = {"only": only, "of": {"models": [code]}}
    if known.counterpart is not None:
        rule["when"] = {"models": [known.counterpart.code]}
    return rule


def next_release(known: KnownProblem, notes: QuerySet[Problem]) -> Release | None:
    """The first release behind every one that a note names; None where there is none."""
    failed = notes.filter(model=known.model, release__isnull=False).order_by()
    ranks = failed.values_list("release__rank", flat=True).distinct()
    if not ranks:
        return None
    later = Release.objects.filter(model=known.model, withdrawn=False, rank__gt=max(ranks))
    return later.order_by("rank").first()


def evidence_of(known: KnownProblem, notes: QuerySet[Problem], at_risk: int) -> dict[str, Any]:
    """Boats with the problem of boats at risk, with the interval, on this day."""
    boats = notes.order_by().values("boat").distinct().count()
    at_risk = max(at_risk, boats)
    low, high = wilson(boats, at_risk) if at_risk else (0.0, 1.0)
    return {
        "known": known.code,
        "boats": boats,
        "at_risk": at_risk,
        "notes": notes.count(),
        "interval": f"{percent(low)} to {percent(high)} %",
        "releases_known": not notes.filter(release__isnull=True).exists(),
        "within_a_year": _boats_within_a_year(notes),
        "on": timezone.localdate().isoformat(),
    }


def _boats_within_a_year(notes: QuerySet[Problem]) -> int:
    late = timezone.now() - timedelta(days=365)
    return notes.filter(noted_at__gte=late).order_by().values("boat").distinct().count()


def confidence_of(evidence: dict[str, Any]) -> str:
    """How sure own experience is (common practice, no source).

    Without the releases low; else high on three boats within a year, medium on fewer.
    """
    if not evidence["releases_known"]:
        return Statement.Confidence.LOW
    enough = evidence["within_a_year"] >= HIGH_FROM_BOATS
    return Statement.Confidence.HIGH if enough else Statement.Confidence.MEDIUM


def draft_statement(known: KnownProblem, at_risk: int) -> tuple[Statement, dict[str, Any]]:
    """A statement not saved yet, begun from what the notes show, and its evidence."""
    notes = notes_of(known)
    evidence = evidence_of(known, notes, at_risk)
    statement = Statement(
        rule=draft_rule(known, notes),
        source_kind=Statement.SourceKind.OWN,
        source=f"{known.code}: {evidence['boats']} of {evidence['at_risk']} boats"[:160],
        confidence=confidence_of(evidence),
        seen=timezone.localdate(),
        note=known.cause and f"Cause: {known.cause}",
    )
    return statement, evidence
