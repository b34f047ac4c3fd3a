"""Which known problem a note looks like, and which other notes; in a fixed number of queries."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q, QuerySet

from shopapp.accounts.models import Shop
from shopapp.fleet.likeness import Likeness, Note, Profile, likeness, profile_of, rarities
from shopapp.fleet.models import Gathered, KnownProblem, NotAlike
from shopapp.jobs.models import Problem

MOST_LOOKED_AT = 400
SHOWN = 4
WITH_FACTS = ("model", "step")


@dataclass(frozen=True)
class Proposal:
    """A known problem, or a loose note, that a note looks like, with the reasons."""

    row: KnownProblem | Problem
    likeness: Likeness


def note_of(problem: Problem) -> Note:
    """A note's values for comparing; `model` and `step` should be fetched with it."""
    return Note(
        symptom=problem.symptom,
        words=problem.words,
        model=problem.model_id,
        family=problem.model.family_id if problem.model else None,
        release=problem.release_id,
        counterpart=problem.counterpart_id,
        switch=problem.switch_id,
        shape=problem.shape,
        step=problem.step.kind if problem.step else "",
        cause=problem.cause,
    )


def loose(shop: Shop) -> QuerySet[Problem]:
    """Notes that belong to no known problem yet."""
    within = Gathered.objects.filter(problem=OuterRef("pk"), ended_at__isnull=True)
    return Problem.objects.of(shop).filter(~Exists(within))


def _near(problem: Problem) -> Q:
    near = Q(symptom=problem.symptom)
    if problem.model_id:
        near |= Q(model=problem.model_id) | Q(model__family=problem.model.family_id)
    return near


def known_like(problem: Problem) -> list[Proposal]:
    """Known problems that the note looks like, best first; two queries."""
    refused = NotAlike.objects.filter(problem=problem).values("known")
    rows = KnownProblem.objects.of(problem.shop_id).open_now().filter(_near(problem))
    rows = rows.exclude(pk__in=refused).select_related("model", "counterpart").counted()
    return _best(problem, [(row, Profile.of_json(row.profile)) for row in rows[:MOST_LOOKED_AT]])


def notes_like(problem: Problem) -> list[Proposal]:
    """Other loose notes that look like this one, best first; one query."""
    rows = loose(problem.shop_id).exclude(pk=problem.pk).filter(_near(problem))
    rows = rows.select_related("boat", "job", "release", *WITH_FACTS)
    rows = rows.defer("job__case", "job__plan", "job__ports")
    return _best(problem, [(row, profile_of([note_of(row)])) for row in rows[:MOST_LOOKED_AT]])


def _best(problem: Problem, others: list[tuple]) -> list[Proposal]:
    note = note_of(problem)
    weights = rarities([profile for _, profile in others] + [profile_of([note])])
    found = [Proposal(row, likeness(note, profile, weights)) for row, profile in others]
    found = [one for one in found if one.likeness.proposed]
    return sorted(found, key=lambda one: (-one.likeness.points, one.row.pk))[:SHOWN]


def best_known(problems: Iterable[Problem], shop: Shop) -> dict[int, Proposal]:
    """The best proposal for each of some notes; two queries however many there are."""
    problems = list(problems)
    rows = list(KnownProblem.objects.of(shop).open_now().counted()[:MOST_LOOKED_AT])
    profiles = [(row, Profile.of_json(row.profile)) for row in rows]
    refused = set(NotAlike.objects.filter(problem__in=problems).values_list("problem", "known"))
    weights = rarities([profile for _, profile in profiles])
    found: dict[int, Proposal] = {}
    for problem in problems:
        note = note_of(problem)
        for row, profile in profiles:
            if (problem.pk, row.pk) in refused:
                continue
            how = likeness(note, profile, weights)
            best = found.get(problem.pk)
            if how.proposed and (best is None or how.points > best.likeness.points):
                found[problem.pk] = Proposal(row, how)
    return found
